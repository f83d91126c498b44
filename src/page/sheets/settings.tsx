/** Everything the job may say beside its readings, and everything that was said of it. */
import type { ComponentChildren, JSX } from 'preact';
import { useState } from 'preact/hooks';
import { type Box, cautions, type Matrix, type Point, verdictWords } from '../../internal.js';
import { ValueField } from '../drawn/field.js';
import { apply } from '../drawn/matrix.js';
import { type Key, typedMarks, withValue, written } from '../kept/job-edit.js';
import { figureOf } from '../kept/typed.js';
import { act, choose, chooseKind, sheet } from '../sheet.js';
import { fixed, lowerFirst } from '../text.js';

export const SettingsSheet = (): JSX.Element => {
  const { settings, drawing } = sheet.shown;
  const { job } = sheet.state.work;
  const kind = written(job, ['cut', 'kind']) ?? 'opening';
  const asDrawn = kind === 'as-drawn';
  return (
    <section class="further" aria-label="Settings">
      <div class="cols">
        <Part title="What is cut">
          <Choice of={['cut', 'kind']} label="What is cut" options={kinds} usual="opening" />
          {asDrawn ? null : (
            <Choice
              of={['cut', 'corners']}
              label="New corners"
              usual="mitre"
              options={[
                ['', 'pointed'],
                ['round', 'rounded'],
              ]}
            />
          )}
          <Choice
            of={['cut', 'apply']}
            usual="full"
            label="The cutter can apply"
            options={[
              ['', 'the whole placement'],
              ['rigid', 'turn and shift'],
              ['shift', 'a shift alone'],
            ]}
          />
          {asDrawn ? null : (
            <Row label="Smallest land, mm" hint="Thinner ones are reported.">
              <ValueField of={['cut', 'smallest-land']} label="Smallest land" otherwise="1" />
            </Row>
          )}
          <Row
            label="First cut’s width, mm"
            hint="If the first cut ran on the drawn line, openings are larger by half of it."
          >
            <ValueField
              of={['pierced', 'kerf']}
              label="Width of the first cut, if it ran on the line"
              otherwise={fixed(settings?.pierced ?? 0, 2)}
            />
          </Row>
        </Part>
        <Part title="The part">
          <Choice
            of={['fit', 'model']}
            usual="rigid"
            label="The part may have"
            options={[
              ['', 'moved and turned'],
              ['shift', 'only moved'],
              ['similarity', 'also changed its size'],
              ['affine', 'changed size and squareness'],
            ]}
          />
          <Choice
            of={['units']}
            label="Unit of the drawing"
            options={[
              ['', 'as it says'],
              ...['mm', 'cm', 'in', 'px', 'pt', 'm'].map((u): [string, string] => [u, u]),
            ]}
          />
          <Row
            label="px to the inch"
            hint="Of a drawing that counts px: 96, 90 or 72, or what it was drawn at."
          >
            <ValueField of={['dpi']} label="px to the inch" otherwise="96" />
          </Row>
          <Row
            label="Bow, mm"
            hint="How far the middle of the panel’s length may be bowed off the chord of its ends."
          >
            <ValueField of={['check', 'bow']} label="Bow" otherwise="not stated" />
          </Row>
          <Row label="Growth, share" hint="0.0002 is 0.2 mm to the metre.">
            <ValueField of={['check', 'size-change']} label="Growth or shrinkage" otherwise="not stated" />
          </Row>
        </Part>
        <Part title="How well things are known">
          <Row
            label="Marks made, sd in mm"
            hint="How truly the marks themselves were made: 2 of 3 lie within one sd, along each axis."
          >
            <ValueField
              of={['fit', 'mark-sd']}
              label="Marks made"
              otherwise={fixed(settings?.markSd ?? 0, 2)}
            />
          </Row>
          <Row
            label="Same cut again, sd in mm"
            hint="How far the machine lands elsewhere when it cuts the same file again."
          >
            <ValueField
              of={['check', 'cut-sd']}
              label="Same cut again"
              otherwise={fixed(settings?.cutSd ?? 0, 2)}
            />
          </Row>
          <Row label="Width of the beam, sd in mm" hint="How much what the beam takes varies.">
            <ValueField
              of={['check', 'kerf-sd']}
              label="Width of the beam varies"
              otherwise={fixed(settings?.kerfSd ?? 0, 2)}
            />
          </Row>
          <Row label="Accepted risk, of 1" hint="0.05: five of a hundred such jobs may touch.">
            <ValueField of={['check', 'accepted-risk']} label="Accepted risk" otherwise="0.05" />
          </Row>
          <Choice
            of={['fit', 'approach']}
            usual="either"
            label="Marks were reached"
            options={[
              ['', 'from any side'],
              ['up', 'with rising figures'],
              ['down', 'with falling figures'],
              ['same', 'from one side, unknown which'],
            ]}
          />
        </Part>
        <Part title="Marks by hand">
          <MarksByHand />
          {drawing?.rolesLine === undefined ? null : (
            <p class="hint">
              Roles are assumed. In the job: <code>{drawing.rolesLine}</code>
            </p>
          )}
        </Part>
        <ByHand />
        <Remarks />
        <Openings />
        <Part title="Before the beam is on">
          <ol>
            {cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ol>
        </Part>
      </div>
    </section>
  );
};

const kinds: readonly (readonly [string, string])[] = [
  ['', 'a sheet, set back from every opening'],
  ['infill', 'pieces that fill the openings'],
  ['as-drawn', 'the drawn lines once more'],
];

export const Part = ({
  title,
  children,
}: {
  readonly title: string;
  readonly children: ComponentChildren;
}): JSX.Element => (
  <section class="part">
    <h2>{title}</h2>
    {children}
  </section>
);

export const Row = ({
  label,
  hint,
  children,
}: {
  readonly label: string;
  readonly hint?: string;
  readonly children: ComponentChildren;
}): JSX.Element => (
  <div class="row">
    <div class="rowline">
      <span>{label}</span>
      {children}
    </div>
    {hint === undefined ? null : <p class="hint">{hint}</p>}
  </div>
);

export const Choice = ({
  of,
  label,
  options,
  usual,
}: {
  readonly of: Key;
  /** The word that says what holds anyway. */
  readonly usual?: string;
  readonly label: string;
  readonly options: readonly (readonly [string, string])[];
}): JSX.Element => {
  const said = written(sheet.state.work.job, of) ?? '';
  const now = said === usual ? '' : said;
  const id = `c-${of.join('-')}`;
  return (
    <div class="row">
      <div class="rowline">
        <label for={id}>{label}</label>
        <select id={id} value={now} onChange={(e) => pick(of, e.currentTarget.value)}>
          {options.map(([value, text]) => (
            <option key={value} value={value}>
              {text}
            </option>
          ))}
          {options.some(([value]) => value === now) ? null : <option value={now}>{now}</option>}
        </select>
      </div>
    </div>
  );
};

const pick = (of: Key, value: string): void =>
  of.join('.') === 'cut.kind' ? chooseKind(value) : choose(of, value === '' ? undefined : value);

/** Marks that the drawing does not hold, by their places in it. */
const MarksByHand = (): JSX.Element => {
  const { job } = sheet.state.work;
  const typed = typedMarks(job);
  const [name, setName] = useState('');
  const [x, setX] = useState('');
  const [y, setY] = useState('');
  const place = [figureOf(x), figureOf(y)] as const;
  const isReady = name.trim() !== '' && place[0] !== undefined && place[1] !== undefined;
  const add = (): void => {
    const [fx, fy] = place;
    if (!isReady || fx === undefined || fy === undefined) return;
    act(`mark ${name}`, (work) => {
      let text = work.job;
      // A list of marks has to hold every one that is read: those that are drawn go on under their names.
      if (typedMarks(text).length === 0)
        for (const mark of sheet.shown.drawing?.marks ?? [])
          text = withValue(text, ['marks', mark.name], mark.name);
      return { ...work, job: withValue(text, ['marks', name.trim()], [fx, fy]) };
    });
    setName('');
    setX('');
    setY('');
  };
  return (
    <>
      <table class="hand">
        <thead>
          <tr>
            <th scope="col">name</th>
            <th scope="col">drawn x</th>
            <th scope="col">drawn y</th>
            <td />
          </tr>
        </thead>
        <tbody>
          {typed.map((mark) => (
            <tr key={mark.name}>
              <th scope="row">{mark.name}</th>
              {typeof mark.at === 'string' ? (
                <td colSpan={2}>{mark.at}</td>
              ) : (
                <>
                  <td>{mark.at[0]}</td>
                  <td>{mark.at[1]}</td>
                </>
              )}
              <td>
                <button
                  type="button"
                  class="out"
                  aria-label={`Take out the mark ${mark.name}`}
                  onClick={() =>
                    act(`out ${mark.name}`, (work) => ({
                      ...work,
                      job: withValue(work.job, ['marks', mark.name], undefined),
                    }))
                  }
                >
                  ×
                </button>
              </td>
            </tr>
          ))}
          <tr>
            <th scope="row">
              <input
                aria-label="Name of the mark"
                value={name}
                onInput={(e) => setName(e.currentTarget.value)}
                placeholder="name"
              />
            </th>
            <td>
              <input
                aria-label="Drawn x"
                inputMode="decimal"
                value={x}
                onInput={(e) => setX(e.currentTarget.value)}
              />
            </td>
            <td>
              <input
                aria-label="Drawn y"
                inputMode="decimal"
                value={y}
                onInput={(e) => setY(e.currentTarget.value)}
              />
            </td>
            <td>
              <button type="button" class="add" disabled={!isReady} onClick={add} aria-label="Add the mark">
                Add
              </button>
            </td>
          </tr>
        </tbody>
      </table>
      <p class="hint">In the drawing’s mm: x to the right, y up from the page’s lower left corner.</p>
    </>
  );
};

export const remarksOf = (): string[] => {
  const { drawing, placed, judged, cut } = sheet.shown;
  const all = cut?.warnings ?? judged?.warnings ?? placed?.warnings ?? drawing?.warnings ?? [];
  const further = cut === undefined ? [] : (judged?.warnings ?? []);
  const told = new Set(placed?.doubt?.warnings.map(({ message }) => message));
  return [...new Set([...all, ...further].map(({ message }) => message))].filter((one) => !told.has(one));
};

const Remarks = (): JSX.Element => {
  const remarks = remarksOf();
  const { judged } = sheet.shown;
  const advice = judged?.advice ?? [];
  return (
    <Part title="Remarks">
      {remarks.length === 0 && advice.length === 0 ? <p class="hint">Nothing to remark.</p> : null}
      <ul id="remarks">
        {judged?.rests === undefined ? null : <li>{judged.rests}</li>}
        {advice.map(({ message }) => (
          <li key={message}>
            <b>{message}</b>
          </li>
        ))}
        {remarks.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
    </Part>
  );
};

/** For a machine that takes no file of ours: the drawing is turned about a mark and moved by hand. */
const ByHand = (): JSX.Element | null => {
  const { placed, drawing, settings } = sheet.shown;
  const [chosen, choose] = useState<string>();
  if (placed === undefined || drawing === undefined || drawing.marks.length === 0) return null;
  const mark = drawing.marks.find(({ name }) => name === chosen) ?? drawing.marks[0]!;
  const { machine, degrees } = placed;
  const lies = apply(machine, mark.at);
  const isDown = settings?.face === 'down';
  const isTurned = settings?.axes === 'y-down';
  const drawn = isDown ? { x: -mark.at.x, y: mark.at.y } : mark.at;
  const sizes = Math.hypot(machine[0], machine[1]);
  return (
    <Part title="Figures for a machine that takes no file">
      <div class="row">
        <div class="rowline">
          <label for="about">Turn about</label>
          <select id="about" value={mark.name} onChange={(e) => choose(e.currentTarget.value)}>
            {drawing.marks.map(({ name }) => (
              <option key={name}>{name}</option>
            ))}
          </select>
        </div>
      </div>
      <table class="openings" id="by-hand">
        <tbody>
          {isDown ? (
            <tr>
              <th scope="row">first</th>
              <td>mirror it left to right</td>
            </tr>
          ) : null}
          <tr>
            <th scope="row">turn about {mark.name}</th>
            <td>{fixed(degrees, 4)}°</td>
          </tr>
          {isTurned ? null : (
            <tr>
              <th scope="row">then shift by</th>
              <td>
                x {fixed(lies.x - drawn.x, 3)}, y {fixed(lies.y - drawn.y, 3)} mm
              </td>
            </tr>
          )}
          <tr>
            <th scope="row">{mark.name} then lies at</th>
            <td>
              x {fixed(lies.x, 3)}, y {fixed(lies.y, 3)} mm
            </td>
          </tr>
        </tbody>
      </table>
      <p class="hint">
        Counter-clockwise as seen on the bed; what the machine is told, its beam’s offset counted.{' '}
        {`What turn and shift alone leave over: up to ${fixed(leftOver(machine, degrees, mark.at, drawing.box, isDown, isTurned), 3)} mm on the drawing.`}
        {Math.abs(sizes - 1) > 1e-7
          ? ' It is the map of the bed, or a change of size, which a machine that only turns and shifts cannot follow.'
          : ''}
      </p>
    </Part>
  );
};

/** How far the corners of the drawing lie from where turn and shift alone would put them, mm. */
const leftOver = (
  machine: Matrix,
  degrees: number,
  about: Point,
  { minX, minY, maxX, maxY }: Box,
  isDown: boolean,
  isTurned: boolean,
): number => {
  const angle = (degrees * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const at = apply(machine, about);
  const corners = [minX, maxX].flatMap((x) => [minY, maxY].map((y) => ({ x, y })));
  return Math.max(
    ...corners.map((p) => {
      const [dx, dy] = [(isDown ? -1 : 1) * (p.x - about.x), p.y - about.y];
      const put = { x: at.x + c * dx - s * dy, y: at.y + (isTurned ? -1 : 1) * (s * dx + c * dy) };
      const is = apply(machine, p);
      return Math.hypot(is.x - put.x, is.y - put.y);
    }),
  );
};

const mostOpenings = 8;

const Openings = (): JSX.Element | null => {
  const { judged } = sheet.shown;
  if (judged === undefined) return null;
  const order = ['does-not-fit', 'too-close', 'fits'];
  const rows = [...judged.json.openings].sort(
    (a, b) =>
      order.indexOf(a.verdict) - order.indexOf(b.verdict) ||
      (b.neededClearance ?? 0) - (a.neededClearance ?? 0),
  );
  return (
    <Part title="What needs most">
      <table class="openings" id="needs">
        <thead>
          <tr>
            <th scope="col">opening</th>
            <th scope="col">verdict</th>
            <th scope="col">needs</th>
            <th scope="col">x</th>
            <th scope="col">y</th>
          </tr>
        </thead>
        <tbody>
          {rows.slice(0, mostOpenings).map(({ id, verdict, neededClearance, worstPoint }) => (
            <tr key={id}>
              <th scope="row">{id}</th>
              <td class="l">{lowerFirst(verdictWords[verdict])}</td>
              <td>{fixed(neededClearance, 2)}</td>
              <td>{fixed(worstPoint?.[0], 2)}</td>
              <td>{fixed(worstPoint?.[1], 2)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Part>
  );
};
