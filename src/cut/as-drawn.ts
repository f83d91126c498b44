/** The drawing's own lines once more: moved to where the part lies, neither offset nor closed nor joined. */
import type { Shape } from '../drawing/model/drawing.js';
import type { RoleAssignment } from '../drawing/roles/roles.js';
import type { Matrix } from '../geometry/affine.js';
import { transformSegment } from '../geometry/curve.js';
import type { Box } from '../geometry/point.js';
import { endToEnd, nestingOf, ringOfSpans } from '../geometry/rings/nesting.js';
import { segmentToSpans } from '../geometry/spans/arc-spline.js';
import { type Ring, ringArea, ringBox, ringLength, type Span, spanToCurve } from '../geometry/spans/span.js';
import type { Warning } from '../job/messages.js';
import type { CutPath, CutResult } from './cut.js';
import { inCuttingOrder } from './order.js';

export interface LinesToCut {
  /** In the order of the drawing. */
  readonly shapes: readonly Shape[];
  readonly warnings: readonly Warning[];
}

/**
 * What is cut again: everything drawn that is not a mark, open lines too. Where the job states which shapes are the
 * openings, these and the outline and nothing else.
 */
export const linesToCut = ({
  shapes,
  roles,
  selectors,
  notes,
  backgrounds,
}: Pick<RoleAssignment, 'shapes' | 'roles' | 'selectors' | 'notes' | 'backgrounds'>): LinesToCut => {
  const apart = new Set(backgrounds);
  const drawn = shapes.filter((shape) => roles.get(shape.id) !== 'mark' && !apart.has(shape));
  const others = new Set(drawn.filter((shape) => roles.get(shape.id) === 'unused'));
  const noted: Warning[] = notes.length === 0 ? [] : [{ code: 'roles-assumed', message: notes.join(' ') }];
  if (others.size === 0) return { shapes: drawn, warnings: noted };
  const names = some([...others].map((shape) => shape.id));
  if (selectors.stated.openings) {
    return {
      shapes: drawn.filter((shape) => !others.has(shape)),
      warnings: [
        {
          code: 'roles-assumed',
          message: `${counted(others.size, 'shape')} outside of the stated roles ${others.size === 1 ? 'is' : 'are'} not cut: ${names}.`,
        },
        ...noted,
      ],
    };
  }
  return {
    shapes: drawn,
    warnings: [
      {
        code: 'roles-assumed',
        message: `Cut as drawn with the rest: ${counted(others.size, 'shape')} that ${others.size === 1 ? 'is' : 'are'} neither opening nor outline (${names}). To leave ${others.size === 1 ? 'it' : 'them'} out, name what is to be cut under "roles: {openings: ...}".`,
      },
      ...noted,
    ],
  };
};

export interface LinesInput {
  readonly shapes: readonly Shape[];
  /** Design, face included -> what the machine is told. */
  readonly toMachine: Matrix;
  /** Bound on the distance of the arcs that stand for curves, mm. */
  readonly tolerance: number;
}

interface PlacedLine {
  readonly shape: Shape;
  readonly closed: boolean;
  readonly spans: Ring;
  readonly box: Box;
  /** Enclosed, mm^2; 0 for an open line, which encloses nothing. */
  readonly area: number;
}

/** What a curve's arcs may take of the tolerance: their distance is measured at a few places of each. */
const share = 0.8;

/** One path for each subpath; lines and arcs stay what they are, other curves become arcs within the tolerance. */
export const cutAsDrawn = ({ shapes, toMachine, tolerance }: LinesInput): CutResult => {
  const lines: PlacedLine[] = [];
  const empty: string[] = [];
  for (const shape of shapes) {
    for (const { segments, closed } of shape.paths) {
      const spans: Span[] = [];
      for (const segment of segments) {
        const placed = transformSegment(toMachine, segment);
        for (const span of segmentToSpans(placed, share * tolerance)) spans.push(span);
      }
      if (spans.length === 0) {
        empty.push(shape.id);
        continue;
      }
      const area = closed ? Math.abs(ringArea(spans)) : 0;
      lines.push({ shape, closed, spans, box: ringBox(spans), area });
    }
  }
  const order = inCuttingOrder(
    lines.map((line) => line.box),
    linesAround(lines),
  );
  return {
    paths: order.map((i) => asPath(lines[i]!)),
    merged: [],
    vanished: [],
    findings: [],
    thinLands: [],
    warnings: empty.length === 0 ? [] : [withoutLength(empty)],
  };
};

const asPath = ({ shape, closed, spans, box, area }: PlacedLine): CutPath => {
  const layer = shape.layers[0];
  return {
    openings: [shape.id],
    segments: spans.map(spanToCurve),
    ...(closed ? {} : { open: true }),
    ...(layer === undefined ? {} : { layer }),
    hole: false,
    length: ringLength(spans),
    area,
    box,
  };
};

/** For each line the closed ones round it, and wider ones that it crosses, the smallest first. */
const linesAround = (lines: readonly PlacedLine[]): number[][] => {
  const nesting = nestingOf(
    lines.map(({ spans, box, closed }) => {
      const { ax: x, ay: y } = spans[0]!;
      return ringOfSpans(box, { x, y }, () => endToEnd(spans, closed), !closed);
    }),
  );
  return lines.map((_, i) => {
    const crossed = nesting.crossedAround(i);
    if (crossed.length === 0) return nesting.around(i);
    // Once a ring is cut what lies in it may move, so what crosses it is cut before.
    const all = new Set([...nesting.around(i), ...crossed]);
    return [...all].sort((j, k) => lines[j]!.area - lines[k]!.area || j - k);
  });
};

const withoutLength = (ids: readonly string[]): Warning => ({
  code: 'content-left-out',
  message: `${counted(ids.length, 'path')} without any length left out: ${some(ids)}.`,
});

const counted = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? '' : 's'}`;

/** The first few names, and how many more there are. */
const some = (names: readonly string[]): string => {
  const shown = names.slice(0, 5).join(', ');
  return names.length > 5 ? `${shown} and ${names.length - 5} more` : shown;
};
