/**
 * A picture of how a drawing was understood, as SVG text: each role in a colour, a line and a
 * filling of its own.
 *
 *     title
 *     +---------------------+   size
 *     |  the drawing, with  |   roles, counted
 *     |  ticks and a scale  |   the line for the job
 *     +---------------------+
 */

import type { ListedDrawing } from '../../../drawing/list-drawing.js';
import type { Role, Shape } from '../../../drawing/model/drawing.js';
import { shapeBox } from '../../../drawing/model/shape-store.js';
import { islandsAmong } from '../../../drawing/roles/nested-openings.js';
import { pathData } from '../../../drawing/write/path-data.js';
import { apply, type Matrix } from '../../../geometry/affine.js';
import { type Box, boxDiagonal, type Point } from '../../../geometry/point.js';
import { counted, fixed } from '../../text/layout.js';
import { letteringWidth, shortenedTo, wrappedWriting } from '../lettering.js';
import { type Frame, ticksOn } from '../picture-field.js';
import { columnBeside, frameOnPage, picturePage } from '../picture-page.js';
import { leadLine, markSign, rimmed } from '../picture-signs.js';
import { roleStyle, sizes } from '../role-style.js';
import { palette } from '../signs.js';
import { element, escaped, roundStep, writing } from '../svg-text.js';
import { type PlacedLabel, placeLabels } from './list-labels.js';

/** The drawing takes this much at most, picture units each way. */
const room = 1000;
/** Between the drawing and its frame: labels and the scale find place there. */
const surround = 56;
const columnWidth = 330;
const lineHeight = 21;

type Style = Readonly<Record<string, string | number>>;

/** Lowest first. */
const roles: readonly Role[] = ['outline', 'opening', 'unused', 'mark'];
const names: Readonly<Record<Role, readonly [string, string]>> = {
  outline: ['outline', 'outlines'],
  opening: ['opening', 'openings'],
  unused: ['shape unused', 'shapes unused'],
  mark: ['mark', 'marks'],
};

/** Everything of the drawing that is seen in the picture. */
interface View {
  readonly toPicture: Matrix;
  readonly frame: Frame;
  /** Picture units per mm. */
  readonly scale: number;
}

export const listPicture = (listed: ListedDrawing): string => {
  const view = viewOf(listed.drawing.box);
  const { frame } = view;
  const { marks } = listed;
  const at = marks.map((mark) => apply(view.toPicture, mark.at));
  const proposed = (listed.proposed?.crosses ?? []).map(({ centre, shapes }) => ({
    name: shapes[0]!.id,
    at: apply(view.toPicture, centre),
  }));
  const labels = placeLabels(
    listed.roles,
    listed.rows,
    [...marks.map(({ name }, i) => ({ name, at: at[i]! })), ...proposed],
    view,
    new Set(listed.proposed?.ids),
  );
  const beside = columnOf(listed, { marks: marks.length, ...labels }, columnBeside(frame));
  const layout = { title: titleOf(listed.drawing.path), frame };
  // Beside the picture where there is room, else below it.
  const foot = frame.y + frame.height;
  const inColumn = keyOf(labels.key, { x: columnBeside(frame).x, y: beside.bottom, width: columnWidth });
  const width = columnBeside(frame).x + columnWidth - frame.x;
  const key =
    inColumn.bottom <= foot
      ? inColumn
      : keyOf(labels.key, { x: frame.x, y: Math.max(foot + 44, beside.bottom), width });
  return picturePage({ ...layout, column: { width: columnWidth, bottom: key.bottom } }, [
    ticksOn(frame, view.toPicture, 'drawing, mm'),
    shapesIn(listed, view),
    ...at.map((place) => markSign(place)),
    ...proposed.map((one) => markSign(one.at, { unread: true })),
    element('g', { 'data-part': 'labels' }, ...labels.labels.map(labelWriting)),
    scaleBar(view),
    beside.svg,
    key.svg,
  ]);
};

const titleOf = (path: string): string => path.replace(/^.*[/\\]/, '');

const viewOf = ({ minX, minY, maxX, maxY }: Box): View => {
  const [width, height] = [maxX - minX, maxY - minY];
  // At least a millimetre, so that a lone point has a scale.
  const scale = room / Math.max(width, height, 1);
  const frame = frameOnPage(
    Math.max(width * scale, 240) + 2 * surround,
    Math.max(height * scale, 120) + 2 * surround,
  );
  const left = frame.x + (frame.width - width * scale) / 2;
  const bottom = frame.y + (frame.height + height * scale) / 2;
  return { toPicture: [scale, 0, 0, -scale, left - scale * minX, bottom + scale * minY], frame, scale };
};

const shapesIn = ({ roles: assignment, rows }: ListedDrawing, view: View): string => {
  const lighter = weightFor(
    rows.map(({ box }) => Math.max(box.maxX - box.minX, box.maxY - box.minY) * view.scale),
  );
  const islands = islandsAmong(assignment.openings);
  return roles
    .map((role) => {
      const shapes = assignment.shapes.filter((shape) => assignment.roles.get(shape.id) === role);
      const drawn = (islands.size > 0 ? largestFirst(shapes) : shapes).map((shape) => {
        const { id, paths } = shape;
        const d = paths.map((path) => pathData(path, view.toPicture, 2)).join('');
        const open = paths.some(({ closed }) => !closed);
        const fill = open ? { fill: 'none' } : islands.has(shape) ? { fill: roleStyle.outline.fill! } : {};
        return element('path', { d, ...fill }, element('title', {}, escaped(id)));
      });
      if (drawn.length === 0) return '';
      const width = Number(roleStyle[role]['stroke-width']) * (role === 'outline' ? 1 : lighter);
      return element(
        'g',
        { 'data-role': role, ...roleStyle[role], 'stroke-width': width, 'stroke-miterlimit': 10 },
        ...drawn,
      );
    })
    .join('\n');
};

/** What lies inside another shape is drawn after it. */
const largestFirst = (shapes: readonly Shape[]): Shape[] => {
  const sizes = new Map(shapes.map((shape) => [shape, boxDiagonal(shapeBox(shape))]));
  return [...shapes].sort((a, b) => sizes.get(b)! - sizes.get(a)!);
};

/** Strokes of many small shapes are drawn thinner, so that they do not run together. */
const weightFor = (lengths: readonly number[]): number => {
  if (lengths.length === 0) return 1;
  const sorted = [...lengths].sort((a, b) => a - b);
  const middle = sorted[Math.floor(sorted.length / 2)]!;
  return Math.min(1, Math.max(0.4, middle / 40));
};

const labelWriting = ({ text, at, size, isMark, lead }: PlacedLabel): string =>
  (lead === undefined ? '' : leadLine(lead)) +
  rimmed(at.x, at.y + 0.36 * size, text, {
    'font-size': size,
    'text-anchor': 'middle',
    ...(isMark ? { 'font-weight': 'bold' } : {}),
  });

/** At least so wide. */
const keyColumn = 160;
const keyLine = 16;

/** The names behind the numbers, in columns below the picture. */
const keyOf = (
  names: readonly string[],
  { x, y, width }: { readonly x: number; readonly y: number; readonly width: number },
): { readonly svg: string; readonly bottom: number } => {
  if (names.length === 0) return { svg: '', bottom: y };
  const columns = Math.min(Math.max(1, Math.floor(width / keyColumn)), Math.ceil(names.length / 4));
  const wide = Math.floor(width / Math.max(1, Math.floor(width / keyColumn)));
  const rows = Math.ceil(names.length / columns);
  const small = { 'font-size': sizes.small } as const;
  const top = y + 30;
  const figures = letteringWidth(`${names.length}`, sizes.small, true) + 8;
  const written = names.map((name, i) => {
    const [column, row] = [Math.floor(i / rows), i % rows];
    const at = { x: x + column * wide, y: top + 24 + row * keyLine };
    const bold = { ...small, 'font-weight': 'bold', 'text-anchor': 'end' };
    return (
      writing(at.x + figures - 8, at.y, `${i + 1}`, bold) +
      writing(at.x + figures, at.y, shortenedTo(name, wide - figures - 12, sizes.small), small)
    );
  });
  return {
    svg: element(
      'g',
      { 'data-part': 'key' },
      writing(x, top, 'Numbers in the picture', { 'font-weight': 'bold' }),
      ...written,
    ),
    bottom: top + 24 + rows * keyLine,
  };
};

/** A bar of a round length in the lower left corner of the frame. */
const scaleBar = ({ frame, scale }: View): string => {
  const bar = roundStep(160 / scale);
  const [x, y] = [frame.x + 18, frame.y + frame.height - 16];
  const end = x + bar * scale;
  const decimals = Math.max(0, -Math.floor(Math.log10(bar)));
  return element(
    'g',
    { 'data-part': 'scale' },
    element('path', {
      d: `M${x.toFixed(2)},${y - 5}v10m0-5H${end.toFixed(2)}m0-5v10`,
      fill: 'none',
      stroke: palette.ink,
      'stroke-width': 1.6,
    }),
    writing(end + 9, y + 4.6, `${fixed(bar, decimals)} mm`, { 'font-size': sizes.small }),
  );
};

const columnOf = (
  { drawing, roles: assignment, rows, proposed }: ListedDrawing,
  {
    marks,
    labels,
    unnamed,
  }: { readonly marks: number; readonly labels: readonly PlacedLabel[]; readonly unnamed: number },
  place: Point,
): { readonly svg: string; readonly bottom: number } => {
  const parts: string[] = [];
  let { y } = place;
  const text = (words: string, left = 0, more: Style = {}): void => {
    const size = Number(more['font-size'] ?? sizes.text);
    // Letters of a typewriter face take 0.6 of their size each, narrow ones too.
    const wide = more['font-family'] === undefined ? size : 1.25 * size;
    for (const line of wrappedWriting(words, columnWidth - left, wide)) {
      parts.push(writing(place.x + left, y + 15, line, more));
      y += lineHeight;
    }
  };
  const { minX, minY, maxX, maxY } = drawing.box;
  text(`${fixed(maxX - minX, 2)} x ${fixed(maxY - minY, 2)} mm, unit ${drawing.units}`);
  y += 14;
  for (const role of ['mark', 'opening', 'outline', 'unused'] as const) {
    const count = role === 'mark' ? marks : rows.filter((row) => row.role === role).length;
    if (count === 0 && role === 'unused') continue;
    parts.push(swatch(role, place.x, y));
    text(count === 0 ? `no ${names[role][1]}` : counted(count, ...names[role]), 48);
    y += 5;
  }
  if (proposed !== undefined) {
    parts.push(markSign({ x: place.x + 16, y: y + 10 }, { unread: true }));
    text(`${proposed.crosses.length} equal crosses, perhaps marks`, 48);
    y += 5;
  }
  y += 14;
  const quiet = { 'font-size': sizes.small, fill: palette.quiet };
  if (assignment.doubt !== undefined) {
    text(`Not certain: ${assignment.doubt.why}. Shown is the first reading:`, 0, quiet);
    for (const { says, line } of assignment.doubt.readings) {
      text(`${says}.`, 0, quiet);
      if (line !== undefined) {
        text(line, 0, { 'font-size': sizes.small, 'font-family': 'DejaVu Sans Mono, monospace' });
      }
      y += 5;
    }
    y += 5;
  } else if (proposed?.line !== undefined) {
    text('To take the crosses for marks, write into the job:', 0, quiet);
    text(proposed.line, 0, { 'font-size': sizes.small, 'font-family': 'DejaVu Sans Mono, monospace' });
    y += 10;
  } else if (assignment.line !== undefined) {
    text('Roles were assumed. To state them in the job:', 0, quiet);
    text(assignment.line, 0, { 'font-size': sizes.small, 'font-family': 'DejaVu Sans Mono, monospace' });
    y += 10;
  } else if (assignment.warnings.length > 0) {
    text('Roles were assumed, as no layer or shape has their names.', 0, quiet);
    y += 10;
  }
  if (unnamed > 0) {
    const all = rows.filter(({ role }) => role !== 'mark').length + marks;
    text(`Names stand where they fit: ${labels.length} of ${all}.`, 0, quiet);
  }
  if (drawing.leftOut.length > 0) {
    text(
      `Not in the picture: ${drawing.leftOut
        .map(({ what }) => what)
        .slice(0, 6)
        .join(', ')}.`,
      0,
      quiet,
    );
  }
  return { svg: element('g', { 'data-part': 'column' }, ...parts), bottom: y };
};

const swatch = (role: Role, x: number, y: number): string => {
  if (role === 'mark') return markSign({ x: x + 16, y: y + 10 });
  const d = role === 'unused' ? `M${x},${y + 10}h32` : `M${x},${y + 2}h32v16h-32Z`;
  return element('path', { ...roleStyle[role], d });
};
