/** Small DXF files, written tag by tag. */

import type { Drawing, Shape } from '../../src/drawing/model/drawing.js';
import { readDrawing } from '../../src/drawing/read.js';
import type { LengthUnit } from '../../src/job/job.js';
import { InputError } from '../../src/job/messages.js';

export type Tag = readonly [code: number, value: string | number];

export interface DxfParts {
  /** Variables of the header; without `insunits` in millimetres. */
  readonly version?: string;
  readonly insunits?: number | 'absent';
  readonly header?: readonly Tag[];
  readonly layers?: readonly (readonly Tag[])[];
  readonly blocks?: readonly (readonly Tag[])[];
  readonly entities: readonly (readonly Tag[])[];
}

const section = (name: string, body: readonly Tag[]): Tag[] => [
  [0, 'SECTION'],
  [2, name],
  ...body,
  [0, 'ENDSEC'],
];

export const dxfTags = (parts: DxfParts): Tag[] => {
  const { version = 'AC1015', insunits = 4, header = [], layers = [], blocks = [], entities } = parts;
  const units: Tag[] =
    insunits === 'absent'
      ? []
      : [
          [9, '$INSUNITS'],
          [70, insunits],
        ];
  return [
    ...section('HEADER', [[9, '$ACADVER'], [1, version], ...units, ...header]),
    ...section('TABLES', [[0, 'TABLE'], [2, 'LAYER'], [70, layers.length], ...layers.flat(), [0, 'ENDTAB']]),
    ...section('BLOCKS', blocks.flat()),
    ...section('ENTITIES', entities.flat()),
    [0, 'EOF'],
  ];
};

export const textOf = (tags: readonly Tag[], newline = '\n'): string =>
  tags.map(([code, value]) => `${code}${newline}${value}${newline}`).join('');

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

/** As binary DXF; `short` as up to release 12, with group codes of one byte. Value types as in the DXF reference. */
export const binaryOf = (tags: readonly Tag[], short = false): Uint8Array => {
  const bytes: number[] = [...'AutoCAD Binary DXF\r\n\x1a\0'].map((c) => c.charCodeAt(0));
  const number = (size: number, write: (view: DataView) => void): void => {
    const view = new DataView(new ArrayBuffer(size));
    write(view);
    bytes.push(...new Uint8Array(view.buffer));
  };
  for (const [code, value] of tags) {
    if (!short) number(2, (view) => view.setInt16(0, code, true));
    else if (code < 255) bytes.push(code);
    else {
      bytes.push(255);
      number(2, (view) => view.setInt16(0, code, true));
    }
    if ((code >= 10 && code <= 59) || (code >= 210 && code <= 239) || (code >= 1010 && code <= 1059)) {
      number(8, (view) => view.setFloat64(0, Number(value), true));
    } else if ((code >= 60 && code <= 79) || (code >= 1060 && code <= 1070)) {
      number(2, (view) => view.setInt16(0, Number(value), true));
    } else if ((code >= 90 && code <= 99) || (code >= 420 && code <= 429) || code === 1071) {
      number(4, (view) => view.setInt32(0, Number(value), true));
    } else if (code >= 290 && code <= 299) bytes.push(Number(value));
    else if (code === 310 || code === 1004) {
      const chunk = String(value);
      bytes.push(chunk.length / 2);
      for (let i = 0; i < chunk.length; i += 2) bytes.push(Number.parseInt(chunk.slice(i, i + 2), 16));
    } else bytes.push(...bytesOf(String(value)), 0);
  }
  return Uint8Array.from(bytes);
};

export const readBytes = (bytes: Uint8Array, units?: LengthUnit): Drawing =>
  readDrawing(bytes, { path: 'panel.dxf', ...(units === undefined ? {} : { units }) });

export const readTags = (tags: readonly Tag[], units?: LengthUnit): Drawing =>
  readBytes(bytesOf(textOf(tags)), units);

export const readParts = (parts: DxfParts, units?: LengthUnit): Drawing => readTags(dxfTags(parts), units);

/** The shapes of a drawing of these entities, in millimetres. */
export const shapesOf = (...entities: readonly (readonly Tag[])[]): readonly Shape[] =>
  readParts({ entities }).shapes;

/** What the reader says of a file that it refuses: found; expected; where; next. */
export const refusalOf = (bytes: Uint8Array, units?: LengthUnit): InputError => {
  try {
    readBytes(bytes, units);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('the file was not refused');
};

export const refusalOfParts = (parts: DxfParts, units?: LengthUnit): InputError =>
  refusalOf(bytesOf(textOf(dxfTags(parts))), units);

export const at = (x: number, y: number, first = 10, z?: number): Tag[] => [
  [first, x],
  [first + 10, y],
  ...(z === undefined ? [] : [[first + 20, z] as Tag]),
];

export const extrusion = (x: number, y: number, z: number): Tag[] => [
  [210, x],
  [220, y],
  [230, z],
];

export const layer = (name: string, ...more: Tag[]): Tag[] => [[0, 'LAYER'], [2, name], ...more];

export const block = (
  name: string,
  base: readonly [number, number],
  ...entities: (readonly Tag[])[]
): Tag[] => [[0, 'BLOCK'], [2, name], ...at(base[0], base[1]), ...entities.flat(), [0, 'ENDBLK']];

export const line = (x0: number, y0: number, x1: number, y1: number, ...more: Tag[]): Tag[] => [
  [0, 'LINE'],
  ...at(x0, y0),
  ...at(x1, y1, 11),
  ...more,
];

export const circle = (x: number, y: number, r: number, ...more: Tag[]): Tag[] => [
  [0, 'CIRCLE'],
  ...at(x, y),
  [40, r],
  ...more,
];

export const arc = (x: number, y: number, r: number, from: number, to: number, ...more: Tag[]): Tag[] => [
  [0, 'ARC'],
  ...at(x, y),
  [40, r],
  [50, from],
  [51, to],
  ...more,
];

/** Vertices as x, y and bulge. */
export const lwpolyline = (
  closed: boolean,
  vertices: readonly (readonly [number, number, number?])[],
  ...more: Tag[]
): Tag[] => [
  [0, 'LWPOLYLINE'],
  [90, vertices.length],
  [70, closed ? 1 : 0],
  ...more,
  ...vertices.flatMap(([x, y, bulge]): Tag[] => [
    ...at(x, y),
    ...(bulge === undefined ? [] : [[42, bulge] as Tag]),
  ]),
];

export const insert = (name: string, x: number, y: number, ...more: Tag[]): Tag[] => [
  [0, 'INSERT'],
  [2, name],
  ...at(x, y),
  ...more,
];
