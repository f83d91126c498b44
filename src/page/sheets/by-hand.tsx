/** The placement as figures to be typed into a machine. */
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Box, Matrix, Point } from '../../internal.js';
import { apply } from '../drawn/matrix.js';
import { sheet } from '../sheet.js';
import { fixed } from '../text.js';
import { Part } from './form.js';

/** For a machine that takes no file of ours: the drawing is turned about a mark and moved by hand. */
export const ByHand = (): JSX.Element | null => {
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
