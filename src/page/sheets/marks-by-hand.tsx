/** Marks that the drawing does not hold. */
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { typedMarks, withValue } from '../kept/job-edit.js';
import { figureOf } from '../kept/typed.js';
import { act, sheet } from '../sheet.js';

/** Marks that the drawing does not hold, by their places in it. */
export const MarksByHand = (): JSX.Element => {
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
