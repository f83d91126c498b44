/** Witness points: where to drive, and where the pointer stood. */
import type { JSX } from 'preact';
import { type WitnessLine, whyNot } from '../kept/book-lines.js';
import { act, sheet } from '../sheet.js';
import { fixed, listed } from '../text.js';
import { Figure, isLit, Out, Why } from './figure.js';

export const Witness = ({ looks }: { readonly looks: readonly WitnessLine[] }): JSX.Element => {
  const { shown, fresh, state } = sheet;
  const points = shown.judged?.witness ?? [];
  const doubt = shown.placed?.doubt;
  const rows = looks.map((line) => {
    const why = whyNot(line, state.work, !isLit(line));
    return (
      <>
        <tr key={line.id} data-line={line.id} class={`w ${isLit(line) ? 'lit' : ''}`}>
          <th scope="row" class="nm">
            stood
          </th>
          {(['x', 'y'] as const).map((axis) => (
            <td key={axis}>
              <Figure
                line={line}
                axis={axis}
                name={`${axis}, witness ${line.number}`}
                why={why}
                describedBy={undefined}
              />
            </td>
          ))}
          <td class="off note">
            <span>{line.at === undefined ? '' : 'counts'}</span>
            <Out line={line} what={`witness reading ${line.number}`} />
          </td>
        </tr>
        <Why id={`why-${line.id}`} why={why} />
      </>
    );
  });
  if (points.length === 0)
    return (
      <>
        {rows}
        <tr class="none">
          <td colSpan={4}>
            {doubt !== undefined
              ? doubt.marks.length > 0
                ? `Named once the doubt about ${listed(doubt.marks)} is settled.`
                : 'Named once the doubt is settled.'
              : shown.judged === undefined
                ? 'Named once the part is placed.'
                : shown.judged.proven
                  ? 'None for this cut.'
                  : 'Named once it fits.'}
          </td>
        </tr>
      </>
    );
  return (
    <>
      {points.map(({ at, allowed, opening, what, design }, i) => (
        <tr key={`${opening}${design}`} class={`w ${fresh ? '' : 'old'}`} title={`${what} of ${opening}`}>
          <th scope="row" class="nm">
            <button
              type="button"
              class="aim"
              onClick={() => beginWitness(design)}
              aria-label={`Write down where the pointer stands at w${i + 1}`}
            >
              w{i + 1}
            </button>
          </th>
          <td>
            <span class="fig">{fixed(at.x, 2)}</span>
          </td>
          <td>
            <span class="fig">{fixed(at.y, 2)}</span>
          </td>
          <td class="off">
            <span>{fixed(allowed, 2)}</span>
          </td>
        </tr>
      ))}
      {rows}
    </>
  );
};

const beginWitness = (design: readonly [number, number]): void => {
  act('begin witness', (work) => ({ ...work, begun: { ...work.begun, witness: design } }));
  requestAnimationFrame(() => {
    const inputs = document.querySelectorAll<HTMLInputElement>('[data-line^="w:"] input');
    inputs[inputs.length - 2]?.focus();
  });
};
