/**
 * What stands beside a job's picture: verdict, legend, witness points, thin lands, enlarged
 * details, the bed.
 */
import type { Box } from '../../../geometry/point.js';
import { counted, fixed } from '../../text/layout.js';
import { letteringWidth, shortenedTo, wrappedWriting } from '../lettering.js';
import { brokenStyle, type Frame } from '../picture-field.js';
import type {
  PictureDetail,
  PictureFilm,
  PictureFinding,
  PictureInput,
  PictureLand,
  PictureLengths,
  PictureRole,
  PictureVerdict,
  PictureWitness,
} from '../picture-input.js';
import { arrow, chip, chipSize, findingSign, markSign, touchSign, witnessSign } from '../picture-signs.js';
import { roleNames, roleOrder, roleStyle, sizes } from '../role-style.js';
import { palette } from '../signs.js';
import { element, roundStep, writing } from '../svg-text.js';
import { bedBeside } from './bed.js';
import { decimalsOf, detailBar, lengthsDetail, scaleOfLengths, squareDetail } from './detail.js';
import { seamBand, stripEdge, stripName } from './picture-film.js';
import { detailSigns, landSign, mostNumbered } from './signs-on.js';

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
 * @param place left edge and top of the column, picture units per mm, and how residuals were
 * stretched
 * @returns its SVG, and where it ends
 */
export const pictureColumn = (
  input: PictureInput,
  place: {
    readonly x: number;
    readonly y: number;
    readonly scale: number;
    readonly factor: number | undefined;
    /** Of the part, display mm. */
    readonly box: Box;
    readonly frame: Frame;
  },
): { readonly svg: string; readonly bottom: number } => {
  const column: Column = { x: place.x, y: place.y, parts: [] };
  const details = (input.details ?? []).map((detail, i) => ({
    detail,
    sign: detailSigns(input.details!)[i]!,
  }));
  const isDeciding = ({ sign }: { readonly sign: string }): boolean => sign === '1';
  if (input.verdict !== undefined) addVerdict(column, input.verdict);
  addFindings(column, input.findings ?? []);
  if (input.verdict !== undefined) addDetails(column, input, details.filter(isDeciding));
  addLegend(column, input, place);
  if (input.film !== undefined) addFilm(column, input.film);
  addWitness(column, input.witness ?? []);
  addLands(column, input.thinLands ?? []);
  if (input.caption.length > 0) column.y += 10;
  for (const line of input.caption) addText(column, line);
  const others = input.verdict === undefined ? details : details.filter((one) => !isDeciding(one));
  const blocks: ((column: Column) => void)[] = [
    ...(input.bed === undefined
      ? []
      : [
          (below: Column): void => {
            addHeading(below, 'On the bed');
            const { svg, height } = bedBeside(input, place.box, below);
            below.parts.push(svg);
            below.y += height;
          },
        ]),
    ...(others.length === 0
      ? []
      : [
          ...[others.filter(hasLengths), others.filter((one) => !hasLengths(one))]
            .filter((some) => some.length > 0)
            .map((some) => (below: Column): void => {
              addHeading(below, 'Enlarged');
              addDetails(below, input, some);
            }),
        ]),
  ];
  const bottom = addBelow(column, blocks, place.frame);
  return { svg: element('g', { 'data-part': 'column' }, ...column.parts), bottom };
};

/** In the column as long as it is no longer than the picture; then below both, from the left. */
const addBelow = (column: Column, blocks: readonly ((column: Column) => void)[], frame: Frame): number => {
  const foot = frame.y + frame.height;
  const heightOf = (block: (column: Column) => void): number => {
    const trial = { x: 0, y: 0, parts: [] };
    block(trial);
    return trial.y;
  };
  const right = column.x + columnWidth;
  let row: { x: number; top: number; bottom: number } | undefined;
  let { y: bottom } = column;
  for (const block of blocks) {
    if (row === undefined && column.y + heightOf(block) <= foot) {
      block(column);
      bottom = column.y;
      continue;
    }
    const next: { x: number; top: number; bottom: number } =
      row === undefined
        ? { x: frame.x, top: foot + belowFrame, bottom: 0 }
        : row.x + columnWidth > right
          ? { x: frame.x, top: row.bottom, bottom: 0 }
          : row;
    // Beside the column there is room at once, below it only where it ends.
    if (next.x + columnWidth > column.x) next.top = Math.max(next.top, column.y);
    const below = { x: next.x, y: next.top, parts: column.parts };
    block(below);
    row = { x: next.x + columnWidth + 44, top: next.top, bottom: Math.max(next.bottom, below.y) };
    bottom = Math.max(bottom, below.y);
  }
  return bottom;
};

/** Room for the figures at the ticks. */
const belowFrame = 44;

/** The verdict, and the lengths that it rests on. */
const addVerdict = (column: Column, { head, text, given, word, needed }: PictureVerdict): void => {
  const ends = /[.!?]$/.test(head) ? head : `${head}.`;
  for (const line of wrappedWriting(ends, columnWidth, sizes.head, true)) {
    column.parts.push(
      writing(column.x, column.y + 20, line, { 'font-size': sizes.head, 'font-weight': 'bold' }),
    );
    column.y += 28;
  }
  column.y += 4;
  addText(column, text);
  column.y += 6;
  const name = word === 'given' ? 'Clearance' : 'Deviation';
  const figures = `${name}: ${fixed(given, 2)} mm ${word}, `;
  const needs = needed === undefined ? 'needed: unknown' : `${fixed(needed, 2)} mm needed`;
  column.parts.push(
    element(
      'text',
      { x: column.x, y: column.y + 15, 'font-weight': 'bold' },
      figures,
      element('tspan', { fill: palette.error }, needs),
    ),
  );
  column.y += lineHeight + 8;
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
  const line = (sign: string, text: string): void => {
    column.parts.push(sign, writing(column.x + indent, column.y + 15, text));
    column.y += lineHeight + 3;
  };
  for (const role of roleOrder) {
    const count = input.shapes.filter((shape) => shape.role === role).length;
    if (count === 0) continue;
    const style = roleStyle[role];
    const swatch =
      style.fill === 'none'
        ? { d: `M${column.x},${column.y + 10}h26` }
        : { d: `M${column.x},${column.y + 3}h26v14h-26Z` };
    line(element('path', { ...style, ...swatch }), roleText(role, count, input.kerf));
  }
  for (const verdict of ['too-close', 'does-not-fit'] as const) {
    const count = input.shapes.filter((shape) => shape.verdict === verdict).length;
    if (count === 0) continue;
    const swatch = { ...brokenStyle[verdict], d: `M${column.x},${column.y + 10}h26` };
    line(element('path', swatch), `${counted(count, 'edge')} ${brokenWords(input, verdict, count)}`);
  }
  const middle = () => ({ x: column.x + 13, y: column.y + 10 });
  const marks = (input.marks ?? []).filter(({ kind }) => kind === undefined).length;
  const touches = (input.marks ?? []).length - marks;
  if (marks > 0) line(markSign(middle()), counted(marks, 'mark'));
  if (touches > 0) line(touchSign(middle()), counted(touches, 'touch, numbered', 'touches, numbered'));
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

const brokenWords = (
  { verdict: judged }: PictureInput,
  verdict: 'too-close' | 'does-not-fit',
  count: number,
): string => {
  if (judged?.word === 'allowed') return verdict === 'too-close' ? 'that may lie too far off' : 'too far off';
  return verdict === 'too-close'
    ? 'that may be touched'
    : count === 1
      ? 'that does not fit'
      : 'that do not fit';
};

const roleText = (role: PictureRole, count: number, kerf: number | undefined): string => {
  const text = counted(count, ...roleNames[role]);
  return role === 'beam' && kerf !== undefined && kerf > 0 ? `${text}, ${fixed(kerf, 2)} mm wide` : text;
};

const addFindings = (column: Column, findings: readonly PictureFinding[]): void => {
  if (findings.length === 0) return;
  addHeading(column, 'What the cut does to the piece');
  findings.slice(0, mostNumbered).forEach(({ label }, i) => {
    column.parts.push(
      findingSign({ x: column.x + 9, y: column.y + 11 }),
      writing(column.x + 18, column.y + 15, `!${i + 1}`, { 'font-weight': 'bold' }),
    );
    addText(column, label, indent);
  });
  if (findings.length > mostNumbered) addText(column, `and ${findings.length - mostNumbered} more`, indent);
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

/** Places to drive the pointer to, with where the display has to stand. */
const addWitness = (column: Column, witness: readonly PictureWitness[]): void => {
  if (witness.length === 0) return;
  addHeading(column, 'Witness points, beam off');
  const right = column.x + columnWidth;
  const small = { 'font-size': sizes.small } as const;
  if (witness.some(({ allowed }) => allowed !== undefined))
    column.parts.push(
      writing(right, column.y - lineHeight + 9, 'may miss', {
        'text-anchor': 'end',
        ...small,
        fill: palette.quiet,
      }),
    );
  for (const { name, at, what, allowed } of witness) {
    const figures = `${fixed(at.x, 2)}, ${fixed(at.y, 2)}`;
    const left = 56 + Math.max(124, letteringWidth(figures, sizes.text) + 10);
    const miss = allowed === undefined ? '' : fixed(allowed, 2);
    const room = columnWidth - left - letteringWidth(miss, sizes.small) - 8;
    column.parts.push(
      witnessSign({ x: column.x + 9, y: column.y + 10 }),
      writing(column.x + 22, column.y + 15, name, { 'font-weight': 'bold' }),
      writing(column.x + 56, column.y + 15, figures),
      writing(column.x + left, column.y + 15, shortenedTo(what, room, sizes.small), small),
      ...(miss === '' ? [] : [writing(right, column.y + 15, miss, { 'text-anchor': 'end', ...small })]),
    );
    column.y += lineHeight + 1;
  }
};

const addLands = (column: Column, lands: readonly PictureLand[]): void => {
  if (lands.length === 0) return;
  addHeading(column, 'Thin lands, width left');
  lands.slice(0, mostNumbered).forEach((land, i) => {
    const sign = landSign(i);
    column.parts.push(
      chip({ x: column.x + chipSize(sign).width / 2, y: column.y + 10 }, sign),
      writing(column.x + 72, column.y + 15, fixed(land.width, 2), { 'text-anchor': 'end' }),
      writing(column.x + 76, column.y + 15, 'mm'),
    );
    const [one, other] = land.between;
    const half = (columnWidth - 112 - letteringWidth(' | ', sizes.text)) / 2;
    const names = [one, other].map((name) => shortenedTo(name, half, sizes.text)).join(' | ');
    column.parts.push(writing(column.x + 112, column.y + 15, names));
    column.y += lineHeight + 3;
  });
  if (lands.length > mostNumbered) addText(column, `and ${lands.length - mostNumbered} more`, 112);
};

interface SignedDetail {
  readonly detail: PictureDetail;
  readonly sign: string;
}

const hasLengths = ({ detail }: SignedDetail): boolean => detail.lengths !== undefined;

/** Height of a place above its lengths. */
const wideHeight = 130;

const addDetails = (column: Column, input: PictureInput, details: readonly SignedDetail[]): void => {
  const gap = 20;
  const side = (columnWidth - gap) / 2;
  for (const { detail, sign } of details.filter(hasLengths)) {
    const lengths = detail.lengths!;
    const size = { width: columnWidth, height: wideHeight };
    const { svg, height } = lengthsDetail({ ...detail, lengths }, input, size);
    column.parts.push(
      element('g', { 'data-enlarged': sign, transform: `translate(${column.x} ${column.y})` }, svg),
      chip({ x: column.x + 16, y: column.y + 16 }, sign, sign === '1'),
    );
    column.y += height;
    labelUnder(column, detail.label, lengths, input);
  }
  const squares = details.filter((one) => !hasLengths(one));
  for (let i = 0; i < squares.length; i += 2) {
    const top = column.y;
    const ends = squares.slice(i, i + 2).map(({ detail, sign }, k) => {
      const left = column.x + k * (side + gap);
      const lines = wrappedWriting(detail.label, side, sizes.small);
      column.parts.push(
        element(
          'g',
          { 'data-enlarged': sign, transform: `translate(${left} ${top})` },
          squareDetail(detail, input, side),
        ),
        chip({ x: left + 8 + chipSize(sign).width / 2, y: top + 17 }, sign, sign === '1'),
        detailBar(left, top + side + 14, side / detail.width),
        ...lines.map((line, n) =>
          writing(left, top + side + 38 + n * 17, line, { 'font-size': sizes.small }),
        ),
      );
      return top + side + 44 + lines.length * 17;
    });
    column.y = Math.max(...ends);
  }
};

const labelUnder = (
  column: Column,
  label: string,
  lengths: PictureLengths,
  { kerf = 0 }: PictureInput,
): void => {
  const scale = scaleOfLengths(lengths, kerf, columnWidth);
  column.parts.push(detailBar(column.x, column.y + 14, scale));
  const left = 150;
  for (const [n, line] of wrappedWriting(label, columnWidth - left, sizes.small, true).entries()) {
    if (n > 0) column.y += 17;
    column.parts.push(
      writing(column.x + left, column.y + 18, line, { 'font-size': sizes.small, 'font-weight': 'bold' }),
    );
  }
  column.y += 34;
};
