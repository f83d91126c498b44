/** What stands beside a picture: caption, legend, the scale of the arrows, thin lands, enlarged details. */
import type { Matrix } from '../../geometry/affine.js';
import { counted, fixed } from '../text/layout.js';
import { shapesOn } from './picture-field.js';
import { seamBand, stripEdge, stripName } from './picture-film.js';
import type {
  PictureDetail,
  PictureFilm,
  PictureFinding,
  PictureInput,
  PictureLand,
  PictureRole,
} from './picture-input.js';
import { arrow, chip, detailBox, detailSigns, findingSign, markSign, touchSign } from './picture-signs.js';
import { colours, roleNames, roleOrder, roleStyle, sizes } from './picture-style.js';
import { element, roundStep, wrappedWriting, writing } from './svg-text.js';

export const columnWidth = 380;

/** Pieces of the column, one below the other; `y` is where the next one starts. */
interface Column {
  readonly x: number;
  y: number;
  readonly parts: string[];
}

const lineHeight = 21;
const indent = 40;

/**
 * @param place left edge and top of the column, picture units per mm, and how residuals were stretched
 * @returns its SVG, and where it ends
 */
export const pictureColumn = (
  input: PictureInput,
  place: {
    readonly x: number;
    readonly y: number;
    readonly scale: number;
    readonly factor: number | undefined;
  },
): { readonly svg: string; readonly bottom: number } => {
  const column: Column = { x: place.x, y: place.y, parts: [] };
  for (const line of input.caption) addText(column, line);
  if (input.caption.length > 0) column.y += 16;
  addLegend(column, input, place);
  addFindings(column, input.findings ?? []);
  if (input.film !== undefined) addFilm(column, input.film);
  addLands(column, input.thinLands ?? []);
  addDetails(column, input);
  return { svg: element('g', { 'data-part': 'column' }, ...column.parts), bottom: column.y };
};

const addText = (column: Column, text: string, left = 0): void => {
  for (const line of wrappedWriting(text, columnWidth - left, sizes.text)) {
    column.parts.push(writing(column.x + left, column.y + 15, line));
    column.y += lineHeight;
  }
};

const addHeading = (column: Column, text: string): void => {
  column.y += 14;
  column.parts.push(writing(column.x, column.y + 15, text, { 'font-weight': 'bold' }));
  column.y += lineHeight + 6;
};

const addLegend = (
  column: Column,
  input: PictureInput,
  { scale, factor }: { readonly scale: number; readonly factor: number | undefined },
): void => {
  for (const role of roleOrder) {
    const count = input.shapes.filter((shape) => shape.role === role).length;
    if (count === 0) continue;
    const style = roleStyle[role];
    const swatch =
      style.fill === 'none'
        ? { d: `M${column.x},${column.y + 10}h26` }
        : { d: `M${column.x},${column.y + 3}h26v14h-26Z` };
    column.parts.push(
      element('path', { ...style, ...swatch, 'stroke-width': Number(style['stroke-width']) * 1.4 }),
      writing(column.x + indent, column.y + 15, roleText(role, count, input.kerf)),
    );
    column.y += lineHeight + 3;
  }
  const signs = [
    { kind: undefined, sign: markSign, names: ['mark', 'marks'] },
    { kind: 'touch', sign: touchSign, names: ['touch, numbered', 'touches, numbered'] },
  ] as const;
  for (const { kind, sign, names } of signs) {
    const count = (input.marks ?? []).filter((mark) => mark.kind === kind).length;
    if (count === 0) continue;
    column.parts.push(
      sign({ x: column.x + 13, y: column.y + 10 }),
      writing(column.x + indent, column.y + 15, counted(count, names[0], names[1])),
    );
    column.y += lineHeight + 3;
  }
  if (factor !== undefined) {
    const bar = roundStep(70 / (factor * scale));
    const size = bar * factor * scale;
    const start = { x: column.x, y: column.y + 10 };
    const drawn = factor === 1 ? '' : `, enlarged ${factor} times`;
    const text = `residual of ${fixed(bar, decimalsOf(bar))} mm${drawn}`;
    column.parts.push(
      element('g', { 'data-part': 'residual-bar' }, arrow(start, { x: start.x + size, y: start.y })),
      writing(column.x + Math.max(indent, size + 14), column.y + 15, text),
    );
    column.y += lineHeight + 3;
  }
};

const roleText = (role: PictureRole, count: number, kerf: number | undefined): string => {
  const text = counted(count, ...roleNames[role]);
  return role === 'beam' && kerf !== undefined && kerf > 0 ? `${text}, ${fixed(kerf, 2)} mm wide` : text;
};

const mostFindings = 12;

const addFindings = (column: Column, findings: readonly PictureFinding[]): void => {
  if (findings.length === 0) return;
  addHeading(column, 'What the cut does to the piece');
  findings.slice(0, mostFindings).forEach(({ label }, i) => {
    column.parts.push(
      findingSign({ x: column.x + 9, y: column.y + 11 }),
      writing(column.x + 20, column.y + 15, String(i + 1), { 'font-weight': 'bold' }),
    );
    addText(column, label, indent);
  });
  if (findings.length > mostFindings) addText(column, `and ${findings.length - mostFindings} more`, indent);
};

const addFilm = (column: Column, { strips, seams, label }: PictureFilm): void => {
  const names = strips.length === 1 ? stripName(0) : `${stripName(0)} to ${stripName(strips.length - 1)}`;
  column.parts.push(
    element('path', { ...stripEdge, d: `M${column.x},${column.y + 10}h26` }),
    writing(column.x + indent, column.y + 15, `${counted(strips.length, 'strip')} of film, ${names}`),
  );
  column.y += lineHeight + 3;
  if (seams.length > 0) {
    column.parts.push(
      element('path', { ...seamBand, d: `M${column.x},${column.y + 3}h26v14h-26Z` }),
      writing(column.x + indent, column.y + 15, `${counted(seams.length, 'seam')}, film on film`),
    );
    column.y += lineHeight + 3;
  }
  addText(column, label, indent);
};

/** So many are listed; the others keep their numbers in the picture. */
const landsListed = 8;

const addLands = (column: Column, lands: readonly PictureLand[]): void => {
  if (lands.length === 0) return;
  addHeading(column, 'Thin lands, width left');
  lands.slice(0, landsListed).forEach((land, i) => {
    column.parts.push(
      chip({ x: column.x + 9, y: column.y + 10 }, String(i + 1)),
      writing(column.x + 66, column.y + 15, fixed(land.width, 2), { 'text-anchor': 'end' }),
      writing(column.x + 70, column.y + 15, 'mm'),
    );
    addText(column, land.between.join(' | '), 106);
    column.y += 3;
  });
  if (lands.length > landsListed) addText(column, `and ${lands.length - landsListed} more`, 106);
};

const addDetails = (column: Column, input: PictureInput): void => {
  const details = input.details ?? [];
  if (details.length === 0) return;
  addHeading(column, 'Enlarged');
  const gap = 20;
  const side = (columnWidth - gap) / 2;
  const signs = detailSigns(details);
  for (let i = 0; i < details.length; i += 2) {
    const top = column.y;
    const ends = details.slice(i, i + 2).map((detail, k) => {
      const left = column.x + k * (side + gap);
      const lines = wrappedWriting(detail.label, side, sizes.small);
      column.parts.push(
        element('g', { transform: `translate(${left} ${top})` }, enlarged(detail, input, side)),
        chip({ x: left + 16, y: top + 16 }, signs[i + k]!),
        detailBar(left, top + side + 14, detail.width, side),
        ...lines.map((line, n) =>
          writing(left, top + side + 38 + n * 17, line, { 'font-size': sizes.small }),
        ),
      );
      return top + side + 44 + lines.length * 17;
    });
    column.y = Math.max(...ends);
  }
};

/** A square of the picture, enlarged to `side`. */
const enlarged = (detail: PictureDetail, input: PictureInput, side: number): string => {
  const scale = side / detail.width;
  const box = detailBox(detail);
  const toPicture: Matrix =
    input.axes === 'y-down'
      ? [scale, 0, 0, scale, -scale * box.minX, -scale * box.minY]
      : [scale, 0, 0, -scale, -scale * box.minX, scale * box.maxY];
  const kerf = input.kerf === undefined ? {} : { kerf: input.kerf };
  const rim = { x: 0.5, y: 0.5, width: side - 1, height: side - 1 };
  return (
    element(
      'svg',
      { width: side, height: side, viewBox: `0 0 ${side} ${side}`, overflow: 'hidden' },
      shapesOn(input.shapes, { toPicture, scale, within: box, heavier: 1.6, ...kerf }),
    ) + element('rect', { ...rim, fill: 'none', stroke: colours.rim, 'stroke-width': 1 })
  );
};

/** The scale of a detail: a bar of a round length with stops at its ends. */
const detailBar = (x: number, y: number, width: number, side: number): string => {
  const bar = roundStep(width / 3);
  const end = x + (bar * side) / width;
  const line = `M${x.toFixed(2)},${y - 4}v8m0-4H${end.toFixed(2)}m0-4v8`;
  return (
    element('path', { d: line, fill: 'none', stroke: colours.ink, 'stroke-width': 1.2 }) +
    writing(end + 8, y + 4.4, `${fixed(bar, decimalsOf(bar))} mm`, { 'font-size': sizes.small })
  );
};

/** Decimals that a round step needs: 0 for 20, 1 for 0.5. */
const decimalsOf = (step: number): number => Math.max(0, -Math.floor(Math.log10(step)));
