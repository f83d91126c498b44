/** Know your machine: the sheet to cut, the tables to fill in, and what they say, with limits; written into a profile. */
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { MachinePart } from '../../internal.js';
import { machinePath, withProfile } from '../kept/job-edit.js';
import { download } from '../kept/save.js';
import { figureOf } from '../kept/typed.js';
import { act, client, sheet } from '../sheet.js';
import type { Answered } from '../work/answers.js';
import { Drift } from './drift.js';
import { MeasuredForm } from './measured-form.js';

const parts: readonly (readonly [MachinePart, string, string])[] = [
  ['pointer', 'Pointer', 'How well one reading is known, and the lost motion of the axes.'],
  ['bed', 'Bed', 'What the display calls 1 mm, and how square its axes are.'],
  ['kerf', 'Kerf', 'What the beam takes.'],
  ['beam', 'Beam', 'Where the beam burns, seen from where the pointer looks.'],
];

type Forms = Extract<Answered, { stage: 'forms' }>;
type Result = Pick<Extract<Answered, { stage: 'calibrated' }>, 'text' | 'withheld' | 'updated'>;

const decoder = new TextDecoder();

/** The profile that figures go into: the job’s, or a new one. */
const profileOf = (): { path: string; text: string | undefined } => {
  const { job, files } = sheet.state.work;
  const path = machinePath(job) ?? 'machine.yaml';
  const bytes = files.get(path);
  return { path, text: bytes === undefined ? undefined : decoder.decode(bytes) };
};

const today = (): string => {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
};

export const MachineSheet = (): JSX.Element => {
  const [part, choosePart] = useState<MachinePart>('pointer');
  const [size, setSize] = useState('');
  const [date, setDate] = useState(today());
  const [sd, setSd] = useState('');
  const [rule, setRule] = useState('');
  const [forms, setForms] = useState<Forms>();
  const [result, setResult] = useState<Result & { of: string }>();
  const [fault, setFault] = useState<string>();
  const { tables = {}, files } = sheet.state.work;
  const profile = profileOf();
  const text = tables[part] ?? forms?.tables[part];
  useEffect(() => {
    const [w, h] = size.split(/[x×*/;\s]+/).map((one) => figureOf(one)?.value);
    client.askBeside(
      files,
      {
        kind: 'forms',
        profile: profile.text === undefined ? undefined : { path: profile.path, text: profile.text },
        size: w === undefined || h === undefined ? undefined : [w, h],
      },
      (answer) => {
        if (answer.stage === 'forms') {
          setForms(answer);
          setFault(undefined);
        } else if (answer.stage === 'fault')
          setFault(`${answer.fault.found}. Expected ${answer.fault.expected}.`);
      },
    );
  }, [size, profile.text]);
  const key = JSON.stringify([part, text, date, sd, rule, profile.text]);
  useEffect(() => {
    if (text === undefined || tables[part] === undefined) {
      setResult(undefined);
      return undefined;
    }
    const timer = setTimeout(
      () =>
        workOut(part, text, { date, sd, rule, force: false }, (found) => setResult({ ...found, of: key })),
      200,
    );
    return () => clearTimeout(timer);
  }, [key]);
  const [, , about] = parts.find(([one]) => one === part)!;
  const isFresh = result?.of === key;
  return (
    <section class="further" aria-label="Know your machine">
      <div class="machine">
        <section class="part">
          <h2>1. Cut the sheet, and measure it</h2>
          <div class="row">
            <div class="rowline">
              <span>Width and height, mm</span>
              <span class="value">
                <input
                  aria-label="Size of the sheet"
                  value={size}
                  placeholder={forms === undefined ? '' : forms.size.join(' × ')}
                  onInput={(e) => setSize(e.currentTarget.value)}
                />
              </span>
            </div>
          </div>
          <p class="acts3">
            <button
              type="button"
              disabled={forms === undefined}
              onClick={() => forms && download('sheet.svg', forms.sheet, 'image/svg+xml')}
            >
              Save the sheet
            </button>
            <button
              type="button"
              disabled={forms === undefined}
              onClick={() => forms && download('sheet-form.svg', forms.form, 'image/svg+xml')}
            >
              Save the form to print
            </button>
          </p>
          <p class="hint">
            Cut it as it is, without kerf correction, where the display begins. The form says what to measure
            in which order.
          </p>
          {fault === undefined ? null : <p class="refused">{fault}</p>}
        </section>
        <section class="part">
          <h2>2. Type what was measured</h2>
          <section class="strip" aria-label="What was measured">
            {parts.map(([one, name]) => (
              <button type="button" key={one} aria-pressed={one === part} onClick={() => choosePart(one)}>
                {name}
              </button>
            ))}
          </section>
          <p class="hint">{about}</p>
          {text === undefined ? null : <MeasuredForm part={part} text={text} />}
        </section>
        <section class="part">
          <h2>3. What it says</h2>
          <div class="row">
            <div class="rowline">
              <span>Measured on</span>
              <span class="value">
                <input
                  aria-label="Measured on"
                  value={date}
                  onInput={(e) => setDate(e.currentTarget.value)}
                />
              </span>
            </div>
          </div>
          {part === 'bed' || part === 'kerf' ? (
            <div class="row">
              <div class="rowline">
                <span>One length out by, sd in mm</span>
                <span class="value">
                  <input
                    aria-label="One length out by"
                    inputMode="decimal"
                    value={sd}
                    placeholder="estimated"
                    onInput={(e) => setSd(e.currentTarget.value)}
                  />
                </span>
              </div>
            </div>
          ) : null}
          {part === 'bed' ? (
            <div class="row">
              <div class="rowline">
                <span>Class of the rule</span>
                <span class="value">
                  <input
                    aria-label="Class of the rule"
                    value={rule}
                    placeholder="not known"
                    onInput={(e) => setRule(e.currentTarget.value)}
                  />
                </span>
              </div>
            </div>
          ) : null}
          {result === undefined ? (
            <p class="hint">Figures with their limits stand here once something is typed.</p>
          ) : (
            // biome-ignore lint/a11y/noNoninteractiveTabindex: wide text is scrolled with keys
            <pre class={isFresh ? '' : 'old'} tabIndex={0}>
              {result.text.trim()}
            </pre>
          )}
          {result?.withheld === true ? (
            <>
              <p class="refused">In doubt: it is not written into the profile.</p>
              <p class="acts3">
                <button
                  type="button"
                  disabled={!isFresh}
                  onClick={() =>
                    text !== undefined &&
                    workOut(part, text, { date, sd, rule, force: true }, ({ updated }) => {
                      if (updated !== undefined) write(profile.path, updated);
                    })
                  }
                >
                  Write it all the same
                </button>
              </p>
            </>
          ) : null}
          {result?.updated === undefined ? null : (
            <p class="acts3">
              <button
                type="button"
                class="strong"
                disabled={!isFresh}
                onClick={() => write(profile.path, result.updated!)}
              >
                Write it into {profile.path.replace(/^.*[/\\]/, '')}
              </button>
            </p>
          )}
          {profile.text === undefined ? null : (
            <p class="acts3">
              <button
                type="button"
                onClick={() =>
                  download(profile.path.replace(/^.*[/\\]/, ''), profile.text!, 'application/yaml')
                }
              >
                Save profile
              </button>
            </p>
          )}
        </section>
        <Drift date={date} />
      </div>
    </section>
  );
};

const workOut = (
  part: MachinePart,
  table: string,
  { date, sd, rule, force }: { date: string; sd: string; rule: string; force: boolean },
  then: (result: Result) => void,
): void =>
  client.askBeside(
    sheet.state.work.files,
    {
      kind: 'calibrate',
      part,
      table,
      profile: profileOf(),
      date,
      sd: figureOf(sd)?.value,
      rule: rule.trim() === '' ? undefined : rule,
      force,
    },
    (answer) => {
      if (answer.stage === 'calibrated') then(answer);
      else if (answer.stage === 'fault')
        then({
          text: `Found: ${answer.fault.found}.\nExpected: ${answer.fault.expected}.\n${answer.fault.next}`,
          withheld: false,
          updated: undefined,
        });
    },
  );

/** The figures of this part into the profile, which the job then names. */
const write = (path: string, text: string): void =>
  act('write profile', (work) => ({
    ...work,
    files: new Map([...work.files, [path, new TextEncoder().encode(text)]]),
    job: work.job === '' || machinePath(work.job) === path ? work.job : withProfile(work.job, path),
  }));
