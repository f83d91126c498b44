/** Everything that was said of the job, and the openings that need most. */
import type { JSX } from 'preact';
import { verdictWords } from '../../internal.js';
import { sheet } from '../sheet.js';
import { fixed, lowerFirst } from '../text.js';
import { Part } from './form.js';

export const remarksOf = (): string[] => {
  const { drawing, placed, judged, cut } = sheet.shown;
  const all = cut?.warnings ?? judged?.warnings ?? placed?.warnings ?? drawing?.warnings ?? [];
  const further = cut === undefined ? [] : (judged?.warnings ?? []);
  const told = new Set(placed?.doubt?.warnings.map(({ message }) => message));
  return [...new Set([...all, ...further].map(({ message }) => message))].filter((one) => !told.has(one));
};

export const Remarks = (): JSX.Element => {
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

const mostOpenings = 8;

export const Openings = (): JSX.Element | null => {
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
