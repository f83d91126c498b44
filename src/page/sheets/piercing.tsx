/** Before piercing: where marks go so that the worst opening will come out right, and the drawing with them. */
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { PlanJson } from '../../internal.js';
import { ValueField } from '../drawn/field.js';
import { written } from '../kept/job-edit.js';
import { takeFiles } from '../kept/open.js';
import { baseName, download } from '../kept/save.js';
import { choose } from '../kept/values.js';
import { client, put, sheet } from '../sheet.js';
import { fixed } from '../text.js';

interface Planned {
  readonly of: string;
  readonly plan?: PlanJson;
  readonly picture?: string;
  readonly fault?: string;
}

let last: Planned | undefined;

/** The plan of the job as it stands; asked again once the job has changed and nothing more is typed. */
const usePlan = (): { planned: Planned | undefined; isWorking: boolean } => {
  const [planned, show] = useState<Planned | undefined>(last);
  const { job, path, files } = sheet.state.work;
  useEffect(() => {
    if (written(job, ['drawing']) === undefined || last?.of === job) return undefined;
    const timer = setTimeout(() => {
      client.askBeside(files, { kind: 'plan', path, text: job }, (answer) => {
        if (answer.stage === 'planned') last = { of: job, plan: answer.plan, picture: answer.picture };
        else if (answer.stage === 'fault')
          last = {
            of: job,
            fault: `${answer.fault.found}. Expected ${answer.fault.expected}. ${answer.fault.next}`,
          };
        else return;
        show(last);
      });
    }, 300);
    return () => clearTimeout(timer);
  }, [job, files]);
  return { planned, isWorking: planned?.of !== job };
};

export const PiercingPlan = (): JSX.Element => {
  const { planned, isWorking } = usePlan();
  const { plan, picture, fault } = planned ?? {};
  return (
    <>
      <figure class="plan paperplan" aria-label="Marks to add">
        <figcaption>
          <span class="ttl">Marks to add</span>
          <span>{isWorking && sheet.shown.drawing !== undefined ? 'working it out …' : ''}</span>
          {plan === undefined ? null : <span>error to be expected, as contours in mm</span>}
        </figcaption>
        <div class="canvas still">
          {fault !== undefined ? (
            <p class="why">{fault}</p>
          ) : picture === undefined ? (
            <p class="why">
              {sheet.shown.drawing === undefined ? 'Open the drawing that is to be pierced.' : ''}
            </p>
          ) : (
            <img
              class={isWorking ? 'old' : ''}
              src={`data:image/svg+xml;charset=utf-8,${encodeURIComponent(picture)}`}
              alt={`The panel with ${plan!.chosen.places.map(({ name }) => name).join(', ')} and the error to be expected over it`}
            />
          )}
        </div>
      </figure>
      <aside class="det wide" aria-label="Plan of marks">
        <h2>Before piercing</h2>
        <div class="inside">
          <div class="row">
            <div class="rowline">
              <label for="many">How many marks</label>
              <select
                id="many"
                value={written(sheet.state.work.job, ['plan', 'marks']) ?? '3'}
                onChange={(e) => choose(['plan', 'marks'], Number(e.currentTarget.value))}
              >
                {[2, 3, 4, 5, 6].map((n) => (
                  <option key={n} value={String(n)}>
                    {n}
                  </option>
                ))}
              </select>
            </div>
          </div>
          <div class="row">
            <div class="rowline">
              <span>From openings, mm</span>
              <ValueField
                of={['plan', 'from-openings']}
                label="From openings"
                otherwise={plan === undefined ? '5' : String(plan.choices.fromOpenings)}
              />
            </div>
          </div>
          <div class="row">
            <div class="rowline">
              <span>From the edge, mm</span>
              <ValueField
                of={['plan', 'from-edge']}
                label="From the edge"
                otherwise={plan === undefined ? '8' : String(plan.choices.fromEdge)}
              />
            </div>
          </div>
          {plan === undefined ? null : <Marks plan={plan} isWorking={isWorking} />}
        </div>
      </aside>
    </>
  );
};

const Marks = ({
  plan,
  isWorking,
}: {
  readonly plan: PlanJson;
  readonly isWorking: boolean;
}): JSX.Element => {
  const { chosen, patterns, present } = plan;
  const hasNew = chosen.places.some(({ kind }) => kind === 'land' || kind === 'given');
  return (
    <>
      <table class="openings">
        <thead>
          <tr>
            <th scope="col">mark</th>
            <th scope="col">what</th>
            <th scope="col">x</th>
            <th scope="col">y</th>
          </tr>
        </thead>
        <tbody>
          {chosen.places.map(({ name, kind, at }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td class="l">{kind === 'land' || kind === 'given' ? 'new' : kind}</td>
              <td>{fixed(at[0], 2)}</td>
              <td>{fixed(at[1], 2)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="hint">In the drawing’s mm, y up.</p>
      <table class="openings">
        <thead>
          <tr>
            <th scope="col">marks</th>
            <th scope="col">needed clearance</th>
          </tr>
        </thead>
        <tbody>
          {patterns.map(({ marks, jobNeededClearance }) => (
            <tr key={marks}>
              <th scope="row">{marks}</th>
              <td>{fixed(jobNeededClearance, 2)}</td>
            </tr>
          ))}
          {present === null ? null : (
            <tr>
              <th scope="row">those that are drawn</th>
              <td>{fixed(present.jobNeededClearance, 2)}</td>
            </tr>
          )}
        </tbody>
      </table>
      {plan.warnings.map(({ message }) => (
        <p class="hint" key={message}>
          {message}
        </p>
      ))}
      {hasNew ? (
        <div class="save">
          <button
            type="button"
            disabled={isWorking}
            onClick={() => marked((name, content) => download(name, content, 'image/svg+xml'))}
          >
            Save the marked drawing
          </button>
        </div>
      ) : (
        <p class="hint">The marks that are drawn serve; no new one is needed.</p>
      )}
      {hasNew ? (
        <button
          type="button"
          class="try"
          disabled={isWorking}
          onClick={() => marked((name, content) => takeFiles(new Map([[name, bytesOf(content)]])))}
        >
          Go on with the marked drawing
        </button>
      ) : null}
    </>
  );
};

const bytesOf = (content: string | Uint8Array): Uint8Array =>
  typeof content === 'string' ? new TextEncoder().encode(content) : content;

const marked = (then: (name: string, content: string | Uint8Array) => void): void => {
  const { job, path, files } = sheet.state.work;
  const ending = /\.dxf$/i.test(written(job, ['drawing']) ?? '') ? 'dxf' : 'svg';
  const name = `${baseName()}-marked.${ending}`;
  client.askBeside(files, { kind: 'marked', path, text: job, name }, (answer) => {
    if (answer.stage === 'file') then(answer.name, answer.content);
    else if (answer.stage === 'fault') put({ note: `${answer.fault.found}. ${answer.fault.next}` });
  });
};
