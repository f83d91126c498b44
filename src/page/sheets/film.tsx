/** Film narrower than the panel: how it lies in strips, with the coordinates of their edges. */
import type { JSX } from 'preact';
import type { Point } from '../../internal.js';
import { ValueField } from '../drawn/field.js';
import { written } from '../kept/job-edit.js';
import { sheet } from '../sheet.js';
import { fixed, listed } from '../text.js';
import type { FilmView } from '../work/answers.js';
import { Choice } from './form.js';

export const FilmPanel = (): JSX.Element => {
  const { cut, fault, judged } = sheet.shown;
  const film = cut?.film;
  const hasFilm = written(sheet.state.work.job, ['film', 'width']) !== undefined;
  return (
    <aside class="det wide" aria-label="Film in strips">
      <h2>Film in strips</h2>
      <div class="inside">
        <div class="row">
          <div class="rowline">
            <span>Width of the roll, mm</span>
            <ValueField of={['film', 'width']} label="Width of the roll" otherwise="whole panel" />
          </div>
        </div>
        <div class="row">
          <div class="rowline">
            <span>Overlap, mm</span>
            <ValueField of={['film', 'overlap']} label="Overlap" otherwise="not said" />
          </div>
          <p class="hint">How far a strip lies over its neighbour.</p>
        </div>
        <Choice
          of={['film', 'direction']}
          label="Strips run"
          options={[
            ['', 'as serves best'],
            ['x', 'along x of the drawing'],
            ['y', 'along y of the drawing'],
          ]}
        />
        {film !== undefined ? (
          <>
            <p class="sum">
              {film.strips.length} strips, <b>{fixed(film.length / 1000, 2)} m</b> of film.{' '}
              {crossed(film.seams) === ''
                ? 'No seam runs through an opening.'
                : `Seams run through ${crossed(film.seams)}.`}
            </p>
            <FilmEdges film={film} />
            <p class="hint">Where the pointer stands at either end of each edge, beam off.</p>
          </>
        ) : (
          <p class="hint">
            {fault?.element.startsWith('film')
              ? ''
              : hasFilm
                ? judged === undefined
                  ? 'Told once the part is placed.'
                  : ''
                : 'For film from a roll that is narrower than the panel: as few strips as cover it, their seams through as few openings as can be.'}
          </p>
        )}
      </div>
    </aside>
  );
};

/** Both edges of each strip, from one end to the other, on the display. */
export const FilmEdges = ({ film }: { readonly film: FilmView }): JSX.Element => (
  <table class="coords">
    <thead>
      <tr>
        <th scope="col">edge</th>
        <th scope="col">x</th>
        <th scope="col">y</th>
        <th scope="col">to x</th>
        <th scope="col">y</th>
      </tr>
    </thead>
    <tbody>
      {film.strips.map(({ corners, from }, i) => (
        <Edges key={from} number={i + 1} corners={corners} />
      ))}
    </tbody>
  </table>
);

const Edges = ({
  number,
  corners,
}: {
  readonly number: number;
  readonly corners: readonly Point[];
}): JSX.Element => {
  const [a, b, c, d] = corners as [Point, Point, Point, Point];
  const row = (name: string, from: Point, to: Point): JSX.Element => (
    <tr>
      <th scope="row">{name}</th>
      <td>{fixed(from.x, 2)}</td>
      <td>{fixed(from.y, 2)}</td>
      <td>{fixed(to.x, 2)}</td>
      <td>{fixed(to.y, 2)}</td>
    </tr>
  );
  return (
    <>
      {row(`${number}, one`, a, b)}
      {row('other', d, c)}
    </>
  );
};

const crossed = (seams: readonly { readonly crosses: readonly string[] }[]): string =>
  listed([...new Set(seams.flatMap(({ crosses }) => crosses))]);
