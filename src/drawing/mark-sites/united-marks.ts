/** Shapes that nothing groups and that are one mark all the same. */

import Flatbush from 'flatbush';
import { distance, growBox, type Point } from '../../geometry/point.js';
import type { Shape } from '../model/drawing.js';
import { shapeBox } from '../model/shape-store.js';
import { centreTolerance, meetingPoint } from './centre.js';

/**
 * Two single lines that meet each other and no third one become one mark, where they meet; then
 * marks about the same centre become one, whose names are those of all of them.
 */
export const unitedMarks = (marks: readonly FoundMark[]): FoundMark[] => aboutOneCentre(crossed(marks));

const isLine = ({ shapes }: FoundMark): boolean => {
  const [shape] = shapes;
  const segments = shapes.length === 1 ? shape!.paths.flatMap((path) => path.segments) : [];
  return segments.length === 1 && segments[0]!.kind === 'line';
};

const crossed = (marks: readonly FoundMark[]): FoundMark[] => {
  const lines = marks.flatMap((mark, i) => (isLine(mark) ? [{ i, shape: mark.shapes[0]! }] : []));
  if (lines.length < 2) return [...marks];
  const boxes = lines.map(({ shape }) => growBox(shapeBox(shape), centreTolerance));
  const index = new Flatbush(lines.length);
  for (const { minX, minY, maxX, maxY } of boxes) index.add(minX, minY, maxX, maxY);
  index.finish();
  // By the place of each line in the list, the lines that it meets; of more than one nothing is
  // made.
  const met = lines.map(({ i, shape }, k) => {
    const { minX, minY, maxX, maxY } = boxes[k]!;
    const found: { readonly other: number; readonly at: Point }[] = [];
    for (const near of index.search(minX, minY, maxX, maxY)) {
      const other = lines[near]!;
      const at = near === k ? undefined : meetingPoint([...shape.paths, ...other.shape.paths]);
      if (at !== undefined) found.push({ other: other.i, at });
      if (found.length > 1) break;
    }
    return [i, found.length === 1 ? found[0] : undefined] as const;
  });
  const partners = new Map(met);
  return marks.flatMap((mark, i) => {
    const partner = partners.get(i);
    if (partner === undefined || partners.get(partner.other)?.other !== i) return [mark];
    return partner.other < i ? [] : [united([mark, marks[partner.other]!], partner.at)];
  });
};

const aboutOneCentre = (marks: readonly FoundMark[]): FoundMark[] => {
  if (marks.length < 2) return [...marks];
  const index = new Flatbush(marks.length);
  for (const { centre } of marks) index.add(centre.x, centre.y);
  index.finish();
  const taken = new Set<number>();
  const result: FoundMark[] = [];
  for (const [i, mark] of marks.entries()) {
    if (taken.has(i)) continue;
    const { x, y } = mark.centre;
    const same = index
      .search(x - centreTolerance, y - centreTolerance, x + centreTolerance, y + centreTolerance)
      .filter((k) => !taken.has(k) && distance(marks[k]!.centre, mark.centre) <= centreTolerance)
      .sort((a, b) => a - b);
    for (const k of same) taken.add(k);
    result.push(
      same.length === 1
        ? mark
        : united(
            same.map((k) => marks[k]!),
            mark.centre,
          ),
    );
  }
  return result;
};

const united = (marks: readonly FoundMark[], centre: Point): FoundMark => ({
  names: [...new Set(marks.flatMap(({ names }) => names))],
  centre,
  shapes: marks.flatMap(({ shapes }) => shapes),
});

export interface FoundMark extends MarkGroup {
  readonly centre: Point;
}

export interface MarkGroup {
  readonly names: readonly string[];
  readonly shapes: readonly Shape[];
}
