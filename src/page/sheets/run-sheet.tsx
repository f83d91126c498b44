/** The run sheet: what goes to the machine on paper, with room for what is found there. */
import type { JSX } from 'preact';
import { useEffect, useMemo, useState } from 'preact/hooks';
import { cautions } from '../../internal.js';
import { verdict } from '../drawn/bottom.js';
import { DetailSvg } from '../drawn/details.js';
import { whole } from '../drawn/plan-frame.js';
import { PlanSvg } from '../drawn/plan-svg.js';
import { RuleSvg } from '../drawn/rule.js';
import { type BookLine, linesOf } from '../kept/book-lines.js';
import { machinePath, written } from '../kept/job-edit.js';
import { type Sheet, sheet } from '../sheet.js';
import { fixed } from '../text.js';
import type { Placed } from '../work/answers.js';
import { FilmEdges } from './film.js';

const planWidth = 410;
const planHeight = 452;

/** Drawn anew where what it tells has changed, and not for every field that is entered. */
export const RunSheet = (): JSX.Element => {
  const print = useFingerprint();
  const { state, shown } = sheet;
  const { placed, judged, cut, gone, drawing, settings } = shown;
  const { work } = state;
  return useMemo(
    () => <Paper print={print} of={{ ...sheet, lit: undefined, sliding: undefined }} />,
    [print, placed, judged, cut, gone, drawing, settings, work],
  );
};

const Paper = ({ print, of: sheet }: { readonly print: string; readonly of: Sheet }): JSX.Element | null => {
  const { state, shown } = sheet;
  const { job } = state.work;
  const { drawing, judged, settings, placed } = shown;
  if (drawing === undefined || judged === undefined) return null;
  const { word, why, rests } = verdict();
  const lines = linesOf(state.work, shown).filter(({ x, y }) => x !== '' && y !== '');
  const scale = Math.min(40, ...judged.details.map(({ pxPerMm }) => pxPerMm));
  const isLong = lines.length > mostLines;
  const film = shown.cut?.film;
  return (
    <section class="run" aria-hidden="true">
      <div class="runhead">
        <div>
          <span>Run sheet</span>
          <b>{written(job, ['title']) ?? drawing.name}</b>
        </div>
        <div>
          <span>Drawing</span>
          {drawing.name}
        </div>
        <div>
          <span>Machine</span>
          {settings?.machineName ?? machinePath(job) ?? 'no profile'}
        </div>
        <div>
          <span>Date</span>
          {written(job, ['date']) ?? ''}
        </div>
        <div>
          <span>Face</span>
          {settings?.face ?? 'up'}
        </div>
        <div>
          <span>y counts</span>
          {settings?.axes.slice(2)}
          {settings?.axesSaid === true ? '' : '?'}
        </div>
      </div>
      <div class="two">
        <div>
          <PlanSvg
            drawing={drawing}
            sheet={sheet}
            width={planWidth}
            height={planHeight}
            zoom={whole}
            onPaper
          />
        </div>
        <div>
          <h1>{word}</h1>
          <p>{why}</p>
          {rests === undefined ? null : <p>{rests}</p>}
          <h2>As read, mm</h2>
          <AsRead lines={isLong ? lines.slice(0, mostLines - 1) : lines} placed={placed} />
          {isLong ? <p>{lines.length - mostLines + 1} more on the second page.</p> : null}
          <h2>Clearance, mm</h2>
          <RuleSvg of={sheet} width={268} onPaper />
        </div>
      </div>
      <div class="three">
        {judged.details.map((detail, i) => (
          <div key={i}>
            <span>
              {i + 1} {detail.says === '' ? detail.id : `${detail.says}: ${detail.id}`}
            </span>
            <DetailSvg detail={detail} index={i} scale={scale} of={sheet} width={226} height={120} onPaper />
          </div>
        ))}
      </div>
      {judged.witness.length === 0 ? null : (
        <>
          <h2>Witness points, beam off: drive there, look, write down</h2>
          <table class="wt">
            <thead>
              <tr>
                <th />
                <th class="l">point of</th>
                <th>x</th>
                <th>y</th>
                <th>allowed</th>
                <th>x stands</th>
                <th>y stands</th>
                <th>ok</th>
              </tr>
            </thead>
            <tbody>
              {judged.witness.map(({ at, opening, what, allowed }, i) => (
                <tr key={i}>
                  <th>w{i + 1}</th>
                  <td class="l">
                    {opening}, {what}
                  </td>
                  <td>{fixed(at.x, 2)}</td>
                  <td>{fixed(at.y, 2)}</td>
                  <td>{fixed(allowed, 2)}</td>
                  <td class="bl" />
                  <td class="bl" />
                  <td class="bl" />
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
      <h2>Before the beam is on</h2>
      <ol>
        {cautions.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ol>
      <p class="sig">
        <span>Cut by</span>
        <span>Date</span>
        <span>Film, batch</span>
      </p>
      <p class="fp">{print}</p>
      {isLong || film !== undefined ? (
        <section class="second">
          <p>
            <b>{written(job, ['title']) ?? drawing.name}</b>, second page. {print}
          </p>
          {isLong ? (
            <>
              <h2>As read, mm</h2>
              <div class="halves">
                {halves(lines.slice(mostLines - 1)).map((half, i) => (
                  <AsRead key={i} lines={half} placed={placed} />
                ))}
              </div>
            </>
          ) : null}
          {film === undefined ? null : (
            <>
              <h2>Film in strips: where the pointer stands at either end of each edge, beam off</h2>
              <FilmEdges film={film} />
            </>
          )}
        </section>
      ) : null}
    </section>
  );
};

/** Of lines that are read so many stand beside the plan. */
const mostLines = 14;

const halves = <T,>(all: readonly T[]): readonly (readonly T[])[] => {
  const middle = Math.ceil(all.length / 2);
  return [all.slice(0, middle), all.slice(middle)].filter(({ length }) => length > 0);
};

const AsRead = ({
  lines,
  placed,
}: {
  readonly lines: readonly BookLine[];
  readonly placed: Placed | undefined;
}): JSX.Element => {
  const off = (line: BookLine): string =>
    line.kind === 'reading' && line.count === 0
      ? fixed(placed?.marks.find(({ name }) => name === line.mark)?.distance, 2)
      : line.kind === 'touch'
        ? fixed(Math.abs(placed?.touches[line.number - 1]?.residual ?? 0), 2)
        : '';
  return (
    <table>
      <thead>
        <tr>
          <th class="l">at</th>
          <th>x</th>
          <th>y</th>
          <th>off by</th>
        </tr>
      </thead>
      <tbody>
        {lines.map((line) => (
          <tr key={line.id}>
            <th>
              {line.kind === 'reading'
                ? line.count === 0
                  ? line.mark
                  : ''
                : line.kind === 'touch'
                  ? line.on
                  : 'witness'}
            </th>
            <td>{line.x}</td>
            <td>{line.y}</td>
            <td>{off(line)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
};

/** The first figures of SHA-256, of the drawing and of the job: the paper belongs to these and no others. */
const useFingerprint = (): string => {
  const { job, files } = sheet.state.work;
  const [said, say] = useState('');
  const drawing = files.get(written(job, ['drawing']) ?? '');
  useEffect(() => {
    let isOver = false;
    const hex = async (bytes: Uint8Array): Promise<string> => {
      const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes as BufferSource));
      return [...hash.subarray(0, 6)].map((b) => b.toString(16).padStart(2, '0')).join('');
    };
    const tell = async (): Promise<void> => {
      if (globalThis.crypto?.subtle === undefined || drawing === undefined) return;
      const both = [await hex(drawing), await hex(new TextEncoder().encode(job))];
      if (!isOver) say(`SHA-256: drawing ${both[0]}, job ${both[1]}`);
    };
    void tell();
    return () => {
      isOver = true;
    };
  }, [job, drawing]);
  return said;
};
