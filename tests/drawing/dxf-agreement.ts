/** DXF drawings as read here, held against what ezdxf makes of the same files. */

import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import { shapeBox } from '../../src/drawing/model/shape-store.js';
import { readDrawing } from '../../src/drawing/read.js';
import { pathLength } from '../../src/geometry/measure.js';
import { type Box, emptyBox, joinBoxes } from '../../src/geometry/point.js';
import { InputError } from '../../src/job/messages.js';

/** Relative, for lengths, and for the sides of the box as parts of its diagonal. The other reader's curves are chords. */
const tolerance = 1e-4;
/** Units of the file: $INSUNITS, and of each layer, in upper case, how many edges, their length, their box. */
export interface Expected {
  readonly units: number | null;
  readonly layers: Readonly<
    Record<string, [count: number, length: number, box: [number, number, number, number]]>
  >;
}

/** Millimetres in the units that the files have: inch, millimetre, metre; none is read as millimetres. */
const millimetres: Readonly<Record<number, number>> = { 1: 25.4, 4: 1, 6: 1000 };

const script = join(import.meta.dirname, 'dxf-expected.py');
export const expectedOf = async (
  python: string,
  paths: readonly string[],
): Promise<Record<string, Expected>> => {
  const { stdout } = await promisify(execFile)(python, [script, ...paths], { maxBuffer: 1 << 28 });
  return JSON.parse(stdout);
};

export interface ReadFile {
  readonly name: string;
  readonly path: string;
  readonly bytes: Uint8Array;
}

interface Sum {
  count: number;
  length: number;
  box: Box;
}

const layersOf = (drawing: Drawing): Map<string, Sum> => {
  const sums = new Map<string, Sum>();
  for (const shape of drawing.shapes) {
    // The other reader is not asked for boundaries of filled areas.
    if (shape.element === 'hatch') continue;
    const name = shape.layers[0]!.toUpperCase();
    const sum = sums.get(name) ?? { count: 0, length: 0, box: emptyBox };
    sums.set(name, sum);
    sum.count += 1;
    for (const path of shape.paths) sum.length += pathLength(path);
    sum.box = joinBoxes(sum.box, shapeBox(shape));
  }
  return sums;
};

/** Undefined when the drawing is refused as one in which there is nothing to cut. */
const read = ({ path, bytes }: ReadFile, unit: number | undefined): Drawing | undefined => {
  try {
    return readDrawing(bytes, { path, ...(unit === undefined ? { units: 'mm' } : {}) });
  } catch (error) {
    if (
      error instanceof InputError &&
      /nothing can be taken|without a single entity|lies on a sheet/.test(error.found)
    )
      return undefined;
    throw error;
  }
};

/** What is different, in words; nothing when both readers agree. */
export const differences = (file: ReadFile, wanted: Expected): string[] => {
  const unit = millimetres[wanted.units ?? 0];
  const drawing = read(file, unit);
  const got = drawing === undefined ? new Map<string, Sum>() : layersOf(drawing);
  const scale = unit ?? 1;
  const found: string[] = [];
  for (const name of new Set([...got.keys(), ...Object.keys(wanted.layers)])) {
    const ours = got.get(name);
    const theirs = wanted.layers[name];
    if (ours === undefined || theirs === undefined || ours.count !== theirs[0]) {
      found.push(`layer ${name}: ${ours?.count ?? 0} shapes instead of ${theirs?.[0] ?? 0}`);
      continue;
    }
    const length = theirs[1] * scale;
    if (Math.abs(ours.length - length) > tolerance * length) {
      found.push(`layer ${name}: length ${ours.length} instead of ${length}`);
    }
    const { minX, minY, maxX, maxY } = ours.box;
    const size = Math.hypot(maxX - minX, maxY - minY);
    [minX, minY, maxX, maxY].forEach((side, i) => {
      const other = theirs[2][i]! * scale;
      if (Math.abs(side - other) > tolerance * size)
        found.push(`layer ${name}: box ${side} instead of ${other}`);
    });
  }
  return found.map((difference) => `${file.name}: ${difference}`);
};
