/** Files with everything in them that the DXF reader knows, and files made from them by random mistakes. */
import type { Drawing } from '../../../src/drawing/model/drawing.js';
import { InputError } from '../../../src/job/messages.js';
import { createRandom, type RandomSource } from '../../../src/numeric/random.js';
import {
  arc,
  at,
  binaryOf,
  block,
  bytesOf,
  circle,
  type DxfParts,
  dxfTags,
  extrusion,
  insert,
  layer,
  line,
  lwpolyline,
  readBytes,
  type Tag,
  textOf,
} from '../dxf-text.js';

const knots = [0, 0, 0, 0, 1, 2, 2, 2, 2].map((knot): Tag => [40, knot]);
const controls = [0, 1, 2, 3, 4].flatMap((i) => at(10 * i, i * i, 10, 0));

const everything: DxfParts = {
  header: [[9, '$DWGCODEPAGE'], [3, 'ANSI_1252'], [9, '$EXTMIN'], ...at(0, 0, 10, 0)],
  layers: [layer('CUT', [70, 0], [62, 3]), layer('ICE', [70, 1], [62, 4]), layer('DARK', [70, 0], [62, -1])],
  blocks: [
    block('LEAF', [1, 2], circle(1, 2, 3), line(0, 0, 7, -1, [5, '2A'], [62, 0])),
    block('FROND', [0, 0], insert('LEAF', 3, 3, [41, -1], [42, 2]), insert('LEAF', 9, 9, [50, 45])),
  ],
  entities: [
    line(0.5, -2.5, 1234.5, 4, [5, '1F'], [8, 'CUT']),
    arc(10, 20, 5, 350, 80, [1001, 'SOMEONE'], [1040, 1.5]),
    circle(30, 30, 8, ...extrusion(0, 0, -1)),
    [[0, 'ELLIPSE'], ...at(5, 5, 10, 0), ...at(9, 2, 11, 0), [40, 0.4], [41, 0.5], [42, 4.5]],
    lwpolyline(
      true,
      [
        [0, 0],
        [20, 0, 1],
        [20, 10, -0.3],
      ],
      [62, 5],
      [43, 0.1],
    ),
    [
      [0, 'POLYLINE'],
      [66, 1],
      [70, 1],
      ...[0, 1, 2].flatMap((i): Tag[] => [[0, 'VERTEX'], ...at(i * i, 9 * i, 10, 0), [42, 0.5]]),
      [0, 'SEQEND'],
    ],
    [[0, 'SPLINE'], [70, 8], [71, 3], [72, 9], [73, 5], ...knots, ...controls],
    [
      [0, 'SPLINE'],
      [70, 4],
      [71, 3],
      [73, 5],
      ...knots,
      ...[1, 2, 0.5, 3, 1].map((w): Tag => [41, w]),
      ...controls,
    ],
    [[0, 'SPLINE'], [70, 1], [71, 3], [74, 3], ...at(0, 0, 11), ...at(9, 4, 11), ...at(12, -3, 11)],
    insert('FROND', 100, 50, [5, '33'], [50, 30], [70, 2], [71, 3], [44, 5], [45, 6], [66, 1]),
    [[0, 'ATTRIB'], ...at(0, 0), [1, 'A'], [0, 'SEQEND']],
    [[0, 'TEXT'], ...at(0, 0), [1, 'fern']],
    line(0, 0, 1, 1, [8, 'ICE']),
  ],
};

/** A square with a gap, a side twice, half a side once more; a slot of lines and arcs. */
const looseLines: DxfParts['entities'] = [
  line(60, 0, 80, 0, [8, 'LOOSE']),
  line(80, 20, 80, 0.004, [8, 'LOOSE']),
  line(80, 20, 60, 20, [8, 'LOOSE']),
  line(60, 0, 60, 20, [8, 'LOOSE']),
  line(60, 20, 60, 0, [8, 'LOOSE']),
  line(65, 0, 85, 0, [8, 'LOOSE']),
  line(100, 0, 120, 0, [8, 'LOOSE']),
  arc(120, 5, 5, 270, 90, [8, 'LOOSE']),
  line(120, 10, 100, 10, [8, 'LOOSE']),
  arc(100, 5, 5, 90, 270, [8, 'LOOSE']),
  arc(100, 5, 5, 100, 200, [8, 'LOOSE']),
];

/** A file, as its tags and in its four forms. */
interface Source {
  readonly tags: readonly Tag[];
  readonly forms: readonly Uint8Array[];
}

const sourceOf = (parts: DxfParts): Source => {
  const tags = dxfTags(parts);
  const forms = [bytesOf(textOf(tags)), bytesOf(textOf(tags, '\r\n')), binaryOf(tags), binaryOf(tags, true)];
  return { tags, forms };
};

const whole = sourceOf(everything);
const loose = sourceOf({ ...everything, entities: [...looseLines, ...everything.entities] });

export const sources = whole.forms;

/** Numbers and words that are likely to do harm. */
const numbers =
  '0 -1 1 2 1e308 -1e308 1e-320 1e9 -1e9 1e-9 0.999999999 32767 -32768 2147483647 0.5 64 360 -90'.split(' ');
const words = [
  'nan',
  '\n',
  '\r',
  '\0',
  '999',
  '73',
  'EOF',
  'SECTION',
  'ENDSEC',
  'ENDBLK',
  'INSERT',
  'LEAF',
  'FROND',
].concat(['SPLINE', 'VERTEX', 'SEQEND', 'CUT', 'ICE', '*PAPER_SPACE', '\xff\xfe', '']);

/** The file with the number `index` of all that can be made: mistakes among the tags in one half, among the bytes in the other. */
export const mutated = (index: number): Uint8Array => mutatedFrom(whole, index);

/** The same of a file with loose lines in it. */
export const mutatedLoose = (index: number): Uint8Array => mutatedFrom(loose, index);

const mutatedFrom = (source: Source, index: number): Uint8Array => {
  const random = createRandom(20261125 + index);
  return index % 2 === 0 ? mistakenTags(source, random) : mistakenBytes(source, random);
};

const oneOf = <T>(random: RandomSource, list: readonly T[]): T => list[random.index(list.length)]!;

const mistakenTags = ({ tags }: Source, random: RandomSource): Uint8Array => {
  const changed = [...tags];
  for (let count = 1 + random.index(3); count > 0; count -= 1) {
    const place = random.index(changed.length);
    const [code, value] = changed[place]!;
    const kind = random.index(8);
    if (kind === 0) changed.splice(place, 1);
    else if (kind === 1) changed.splice(place, 0, changed[place]!);
    else if (kind === 2) changed.splice(random.index(changed.length), 0, changed[place]!);
    else if (kind === 3 && typeof value === 'string') changed[place] = [code, oneOf(random, words)];
    else if (typeof value === 'number') changed[place] = [code, oneOf(random, numbers)];
    else count += 1;
  }
  return random.index(4) === 0 ? binaryOf(changed, random.index(2) === 0) : bytesOf(textOf(changed));
};

const mistakenBytes = ({ forms }: Source, random: RandomSource): Uint8Array => {
  let bytes: number[] = [...oneOf(random, forms)];
  const lineAt = (): [number, number] => {
    let from = random.index(bytes.length);
    while (from > 0 && bytes[from - 1] !== 10) from -= 1;
    const end = bytes.indexOf(10, from);
    return [from, end < 0 ? bytes.length : end + 1];
  };
  const put = (from: number, to: number, piece: readonly number[]): void => {
    bytes = [...bytes.slice(0, from), ...piece, ...bytes.slice(to)];
  };
  for (let count = 1 + random.index(3); count > 0 && bytes.length > 0; count -= 1) {
    const place = random.index(bytes.length);
    const [from, to] = lineAt();
    const piece = [...oneOf(random, random.index(2) === 0 ? words : numbers)].map((c) => c.charCodeAt(0));
    switch (random.index(9)) {
      case 0:
        bytes[place] = random.index(256);
        break;
      case 1:
        bytes[place]! ^= 1 << random.index(8);
        break;
      case 2:
        put(place, Math.min(bytes.length, place + random.index(30)), []);
        break;
      case 3:
        put(place, place, piece);
        break;
      case 4:
        put(from, to, [...piece, 10]);
        break;
      case 5:
        put(from, to, []);
        break;
      case 6: {
        // A stretch of the file once more, somewhere else.
        const stretch = bytes.slice(place, place + random.index(200));
        const where = random.index(bytes.length);
        put(where, where, stretch);
        break;
      }
      case 7:
        put(place, place, bytes.slice(place, place + 8));
        break;
      default:
        if (random.index(4) === 0) put(place, bytes.length, []);
        else bytes[place]! ^= 0x10;
    }
  }
  return Uint8Array.from(bytes);
};

/** The drawing, or undefined where it was refused as input. */
export const attempt = (bytes: Uint8Array): Drawing | undefined => {
  try {
    return readBytes(bytes, 'mm');
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const words = [error.found, error.expected, error.next, JSON.stringify(error.where)].join(' ');
    if (/undefined|\[object|NaN mm/.test(words)) throw new Error(`a message that says nothing: ${words}`);
    if (error.where.file !== 'panel.dxf') throw new Error(`a message without its file: ${words}`);
    return undefined;
  }
};

/** What is unsound about a drawing, in words; undefined for a sound one. */
export const faultOf = (drawing: Drawing): string | undefined => {
  if (drawing.shapes.length === 0) return 'no shapes';
  if (new Set(drawing.shapes.map(({ id }) => id)).size !== drawing.shapes.length)
    return 'ids that are not unique';
  for (const { id, paths } of drawing.shapes) {
    if (paths.length === 0 || paths.some(({ segments }) => segments.length === 0)) return `${id} is empty`;
  }
  return holdsOnlyNumbers([drawing.box, drawing.shapes.map(({ paths }) => paths)]) ? undefined : 'no number';
};

const holdsOnlyNumbers = (value: unknown): boolean => {
  if (typeof value === 'number') return Number.isFinite(value);
  if (value === null || typeof value !== 'object') return true;
  return Object.values(value).every(holdsOnlyNumbers);
};
