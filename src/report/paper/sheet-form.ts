/** The calibration sheet's form to print and fill in by hand: one page of A4, millimetres. */
import type { Sheet, SheetPoint } from '../../calibration/sheet/sheet.js';
import { formKerf, formLengths, formReadings } from '../../calibration/sheet/sheet-forms.js';
import { distance } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import { wrappedWriting } from '../picture/lettering.js';
import { face } from '../picture/role-style.js';
import { palette } from '../picture/signs.js';
import { element, writing } from '../picture/svg-text.js';
import { shortened } from '../text/layout.js';

const page = { width: 210, height: 297, margin: 12 } as const;
const size = { title: 6, head: 3.8, text: 3, small: 2.7 } as const;
/** Height of a capital letter of the text. */
const capital = 0.75 * size.text;
const rowHeight = 5;
const line = { stroke: palette.ink, 'stroke-width': 0.2 } as const;
const faint = { stroke: palette.quiet, 'stroke-width': 0.15 } as const;

/**
 * @param file name of the drawing it goes with
 * @param cautions whole sentences
 */
export const sheetForm = (
  sheet: Sheet,
  machine: Pick<Machine, 'axes' | 'name'>,
  file: string,
  cautions: readonly string[],
): string => {
  const right = page.width - page.margin;
  const content = [
    element('rect', { x: 0, y: 0, width: page.width, height: page.height, fill: '#ffffff' }),
    writing(page.margin, 17, 'Calibration sheet', { 'font-size': size.title, 'font-weight': 'bold' }),
    writing(page.margin + 66, 17, `${file}, ${sheet.size[0]} x ${sheet.size[1]} mm`, {
      'font-size': size.head,
      fill: palette.quiet,
    }),
    ...blanks(machine.name),
    ...map(sheet, machine.axes, { x: page.margin, y: 31, width: 112, height: 70 }),
    ...steps({ x: 130, y: 32, width: right - 130 }),
    ...leftColumn(sheet, page.margin, 92),
    ...rightColumn(112, right - 112),
    ...cautionLines(cautions, 262),
  ];
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    element(
      'svg',
      {
        xmlns: 'http://www.w3.org/2000/svg',
        version: '1.1',
        width: `${page.width}mm`,
        height: `${page.height}mm`,
        viewBox: `0 0 ${page.width} ${page.height}`,
        'font-family': face,
        fill: palette.ink,
      },
      ...content,
    ),
    '',
  ].join('\n');
};

/** Text with a line behind it to write on. */
const blank = (x: number, y: number, label: string, from: number, to: number): string[] => [
  writing(x, y, label, { 'font-size': size.text }),
  element('line', { x1: from, y1: y + 0.8, x2: to, y2: y + 0.8, ...line }),
];

const blanks = (machine: string | undefined): string[] => [
  ...(machine === undefined
    ? blank(12, 25, 'Machine', 25, 68)
    : [writing(12, 25, `Machine  ${shortened(machine, 27)}`, { 'font-size': size.text })]),
  ...blank(72, 25, 'Date', 80, 108),
  ...blank(112, 25, 'Material, thickness', 142, 198),
];

interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** The sheet to scale, with the names of its points. */
const map = (sheet: Sheet, axes: Machine['axes'], place: Place): string[] => {
  const [width, height] = sheet.size;
  const scale = Math.min(place.width / width, place.height / height);
  const low = place.y + scale * height;
  const onPage = ({ x, y }: { x: number; y: number }) => ({
    x: place.x + scale * x,
    y: axes === 'y-up' ? low - scale * y : place.y + scale * y,
  });
  const run = (
    points: readonly { x: number; y: number }[],
    style: Readonly<Record<string, string | number>>,
  ): string =>
    element('polyline', {
      points: points
        .map(onPage)
        .map((p) => `${p.x.toFixed(2)},${p.y.toFixed(2)}`)
        .join(' '),
      fill: 'none',
      ...style,
    });
  const ring = (corners: readonly SheetPoint[]): string =>
    run(
      [...corners, corners[0]!].map((p) => p.at),
      { ...faint, 'stroke-dasharray': '1 1' },
    );
  const named = ({ name, at }: SheetPoint, sign: string): string[] => {
    const p = onPage(at);
    const style = { 'font-size': size.text, 'font-weight': 'bold' };
    // Above and to the right, as on the sheet itself, unless that leaves the frame.
    const isHigh = p.y - 1.4 - capital < place.y;
    const y = isHigh ? p.y + 1.4 + capital : p.y - 1.4;
    const isWide = p.x + 1.6 + 0.75 * size.text * name.length > place.x + scale * width;
    const isDot = name.length > 1;
    const text = isWide
      ? writing(p.x - 1.6, y, name, { ...style, 'text-anchor': 'end' })
      : isHigh && isDot
        ? writing(p.x, y, name, { ...style, 'text-anchor': 'middle' })
        : writing(p.x + 1.6, y, name, style);
    return [sign, text];
  };
  const origin = onPage({ x: 0, y: 0 });
  const nearOrigin = axes === 'y-up' ? origin.y + 3.4 : origin.y - 1;
  return [
    element('rect', {
      x: place.x,
      y: place.y,
      width: scale * width,
      height: scale * height,
      fill: 'none',
      ...line,
    }),
    ring(sheet.points.slice(0, 4)),
    ring(sheet.points.slice(4, 8)),
    ...sheet.through.map((points) => run(points, { stroke: palette.ink, 'stroke-width': 0.2 })),
    ...sheet.points.flatMap((point) => {
      const { x, y } = onPage(point.at);
      return named(
        point,
        element('path', {
          d: `M${(x - 1.5).toFixed(2)} ${y.toFixed(2)}h3M${x.toFixed(2)} ${(y - 1.5).toFixed(2)}v3`,
          ...line,
        }),
      );
    }),
    ...sheet.dots.flatMap((dot) => {
      const { x, y } = onPage(dot.at);
      return named(dot, element('circle', { cx: x, cy: y, r: 0.5, fill: palette.ink }));
    }),
    writing(origin.x, nearOrigin, '0, 0', { 'font-size': size.small, fill: palette.quiet }),
  ];
};

const instructions = [
  'Fix a flat sheet to the bed. It must not move before the readings are done.',
  'Run the drawing: group "surface" marks the surface, then group "through" goes through.',
  'Pointer: read crosses A to D in the order of the table; drive away each time.',
  'Beam: read the middles of the burnt circles; note from which side you came.',
  'Bed: cross to cross with a steel rule. Note its class.',
  'Kerf: take the pieces out, use a caliper.',
  'Type the figures into the .csv forms, each named for its command. Rows left blank are passed over.',
] as const;

const steps = ({ x, y, width }: Omit<Place, 'height'>): string[] => {
  const written: string[] = [];
  let at = y;
  for (const [i, text] of instructions.entries()) {
    written.push(writing(x, at, `${i + 1}`, { 'font-size': size.text, 'font-weight': 'bold' }));
    for (const words of wrappedWriting(text, width - 5, size.text)) {
      written.push(writing(x + 5, at, words, { 'font-size': size.text }));
      at += 3.8;
    }
    at += 1.6;
  }
  return written;
};

interface TableColumn {
  readonly title: string;
  readonly width: number;
}

/**
 * Rows of printed cells; an empty cell is a box to write in. Returns the elements and where the
 * table ends.
 */
const formTable = (
  place: { readonly x: number; readonly y: number },
  title: string,
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
): { drawn: string[]; end: number } => {
  const drawn = [writing(place.x, place.y, title, { 'font-size': size.head, 'font-weight': 'bold' })];
  let x = place.x;
  const top = place.y + 5;
  for (const { title: head, width } of columns) {
    drawn.push(writing(x + 1, top - 1.2, head, { 'font-size': size.small, fill: palette.quiet }));
    x += width;
  }
  rows.forEach((row, r) => {
    let left = place.x;
    const y = top + r * rowHeight;
    row.forEach((cell, c) => {
      const { width } = columns[c]!;
      if (cell === '') {
        drawn.push(element('rect', { x: left, y, width, height: rowHeight, fill: 'none', ...faint }));
      } else if (cell !== '-') {
        drawn.push(writing(left + 1, y + 3.5, cell, { 'font-size': size.text }));
      }
      left += width;
    });
  });
  return { drawn, end: top + rows.length * rowHeight };
};

const leftColumn = (sheet: Sheet, x: number, width: number): string[] => {
  const bed = formTable(
    { x, y: 110 },
    'Bed: true lengths',
    [
      { title: 'from, to', width: 22 },
      { title: 'on the display', width: 24 },
      { title: 'measured', width: width - 46 },
    ],
    formLengths(sheet).map(({ from, to }) => [
      `${from.name} to ${to.name}`,
      distance(from.at, to.at).toFixed(2),
      '',
    ]),
  );
  const kerf = formTable(
    { x, y: bed.end + 5 },
    'Kerf',
    [
      { title: 'what', width: 48 },
      { title: 'measured or hole', width: 28 },
      { title: 'piece', width: width - 76 },
    ],
    formKerf(sheet).map(({ kind, what }) => [what, '', kind === 'pair' ? '' : '-']),
  );
  const beam = formTable(
    { x, y: kerf.end + 5 },
    'Beam: burnt circles',
    [
      { title: 'dot', width: 12 },
      { title: 'sent to', width: 22 },
      { title: 'read x', width: (width - 54) / 2 },
      { title: 'read y', width: (width - 54) / 2 },
      { title: 'up or down', width: 20 },
    ],
    sheet.dots.map(({ name, at }) => [name, `${at.x}, ${at.y}`, '', '', '']),
  );
  return [...bed.drawn, ...kerf.drawn, ...beam.drawn];
};

const rightColumn = (x: number, width: number): string[] => {
  const cell = (width - 44) / 2;
  const { drawn, end } = formTable(
    { x, y: 110 },
    'Pointer: repeated readings',
    [
      { title: 'cross', width: 12 },
      { title: 'figures', width: 20 },
      { title: 'who', width: 12 },
      { title: 'x', width: cell },
      { title: 'y', width: cell },
    ],
    formReadings.map(({ mark, direction }) => [mark, direction === 'up' ? 'growing' : 'falling', '', '', '']),
  );
  return [
    ...drawn,
    ...wrappedWriting(
      'growing: come to the cross with both figures of the display growing (up). falling: from the other side (down). who: where two people read; each from both sides.',
      width,
      size.small,
    ).map((words, i) =>
      writing(x, end + 4.5 + 3.6 * i, words, { 'font-size': size.small, fill: palette.quiet }),
    ),
  ];
};

const cautionLines = (cautions: readonly string[], top: number): string[] => {
  const width = page.width - 2 * page.margin;
  const written = [
    writing(page.margin, top, 'Before the beam is on', { 'font-size': size.head, 'font-weight': 'bold' }),
  ];
  let y = top + 4.6;
  for (const caution of cautions) {
    for (const [i, words] of wrappedWriting(caution, width - 3, size.small).entries()) {
      if (i === 0) written.push(writing(page.margin, y, '-', { 'font-size': size.small }));
      written.push(writing(page.margin + 3, y, words, { 'font-size': size.small }));
      y += 3.5;
    }
  }
  return written;
};
