/**
 * A drawing with marks, written anew in the other format: shape by shape with its innermost layer
 * and its colour; lines, arcs and circles stay what they are, other curves become arcs. SVG keeps
 * the names; DXF has none, and so what is written is read back and held against the job.
 */

import type { Arc, Line, Segment } from '../../geometry/curve.js';
import { type Box, distance, type Point } from '../../geometry/point.js';
import { segmentToSpans } from '../../geometry/spans/arc-spline.js';
import { spanToCurve } from '../../geometry/spans/span.js';
import { InputError } from '../../job/messages.js';
import type { Drawing, Role } from '../model/drawing.js';
import { hasId } from '../model/shape-store.js';
import { readDrawing } from '../read.js';
import { assignRoles, type RoleAssignment } from '../roles/roles.js';
import { type CutFile, type CutFilePath, decimal } from './cut-file.js';
import { writeDxf } from './write-dxf.js';
import { writeSvg } from './write-svg.js';

export interface ConvertedInput {
  readonly drawing: Drawing;
  readonly roles: RoleAssignment;
  readonly marks: readonly { readonly name: string; readonly at: Point }[];
  /** mm */
  readonly markRadius: number;
  readonly layer: string;
  /** `#rrggbb` */
  readonly stroke: string;
  /** Names of shapes that the job refers to beside its roles. */
  readonly names: readonly string[];
}

interface WrittenPath extends CutFilePath {
  /** What its shape is to the job; undefined for a new mark, which the roles may not know yet. */
  readonly role?: Role;
}

/** Bound on the distance of the arcs that stand for curves, mm. */
const curveTolerance = 0.001;
/** mm */
const sameArc = 1e-6;

/**
 * @throws InputError where a drawing with negative coordinates would have to become an SVG page,
 * and where the shapes of what is written do not have the roles and names that the job gives to
 * those of the drawing
 */
export const convertedDrawing = (input: ConvertedInput, format: 'svg' | 'dxf'): string => {
  const { drawing, roles, marks, layer, stroke, markRadius } = input;
  const { box } = drawing;
  if (format === 'svg' && (box.minX < 0 || box.minY < 0)) {
    throw new InputError({
      found: `a drawing that reaches to (${decimal(box.minX, 3)}, ${decimal(box.minY, 3)})`,
      expected: 'no negative coordinates, for an SVG page begins at its corner',
      where: { file: drawing.path },
      next: 'Write a DXF file instead: -o FILE.dxf.',
    });
  }
  const shapes = roles.shapes.flatMap((shape) =>
    shape.paths.flatMap(({ segments, closed }): WrittenPath[] => {
      const curves = circleOf(segments) ?? edgesOf(segments);
      if (curves.length === 0) return [];
      const { id, named, layers, stroke: own } = shape;
      // Outside every group a name of its own is all that a role can go by.
      const ownLayer = layers[0] ?? (named ? id : '0');
      const role = roles.roles.get(id) ?? 'unused';
      return [
        {
          id,
          layer: ownLayer,
          drawn: { stroke: own },
          segments: curves,
          role,
          ...(closed ? {} : { open: true }),
        },
      ];
    }),
  );
  const circles = marks.map(
    ({ name, at }): WrittenPath => ({
      id: name,
      layer,
      drawn: { stroke },
      segments: [{ kind: 'arc', centre: at, radius: markRadius, start: 0, sweep: 2 * Math.PI }],
    }),
  );
  const order = new Map<string, number>();
  for (const { layer: own } of shapes) if (!order.has(own)) order.set(own, order.size);
  order.set(layer, order.size + shapes.length);
  // Shapes of a layer together: a layer is one group in SVG.
  const paths = [...shapes, ...circles].sort((a, b) => order.get(a.layer)! - order.get(b.layer)!);
  const file: CutFile = { axes: 'y-up', ...sizeOf(drawing.page ?? box), paths };
  const text = format === 'svg' ? writeSvg(file) : writeDxf(file);
  refuseOther(input, paths, text, format);
  return text;
};

const edgesOf = (segments: readonly Segment[]): (Line | Arc)[] =>
  segments.flatMap((segment) => segmentToSpans(segment, curveTolerance)).map(spanToCurve);

/** The circle that arcs about one centre make, as one arc. */
const circleOf = (segments: readonly Segment[]): Arc[] | undefined => {
  const [first] = segments;
  if (first?.kind !== 'arc') return undefined;
  let sweep = 0;
  for (const s of segments) {
    if (s.kind !== 'arc' || Math.abs(s.radius - first.radius) > sameArc) return undefined;
    if (distance(s.centre, first.centre) > sameArc) return undefined;
    sweep += s.sweep;
  }
  const isWhole = Math.abs(Math.abs(sweep) - 2 * Math.PI) < 1e-9;
  return isWhole ? [{ ...first, sweep: 2 * Math.PI * Math.sign(sweep) }] : undefined;
};

const sizeOf = ({ maxX, maxY }: Box): Pick<CutFile, 'size'> =>
  Number.isFinite(maxX) && Number.isFinite(maxY) ? { size: [maxX, maxY] } : {};

/**
 * Refuses what another job would be made of: a shape in another role, or a name that nothing bears
 * any more.
 */
const refuseOther = (
  { drawing, roles, names }: ConvertedInput,
  paths: readonly WrittenPath[],
  text: string,
  format: 'svg' | 'dxf',
): void => {
  const refusal = (found: string): InputError =>
    new InputError({
      found,
      expected: 'a format that keeps the names and roles which the job gives to shapes',
      where: { file: drawing.path },
      next: `Write the drawing in its own format: -o FILE.${format === 'svg' ? 'dxf' : 'svg'}.`,
    });
  const FORMAT = format.toUpperCase();
  const back = readDrawing(new TextEncoder().encode(text), { path: `${drawing.path} as ${FORMAT}` });
  const bears = (shapes: Drawing['shapes'], name: string): boolean =>
    shapes.some((shape) => hasId(shape, name) || shape.labels?.includes(name) || shape.layers.includes(name));
  const lost = names.find((name) => bears(drawing.shapes, name) && !bears(back.shapes, name));
  if (lost !== undefined)
    throw refusal(`the shape ${lost}, named in the job, which ${FORMAT} has no name for`);
  let again: RoleAssignment;
  try {
    again = assignRoles(back, roles.selectors, roles.typedMarks);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw refusal(`a drawing whose roles are lost in ${FORMAT}: ${error.found}`);
  }
  for (const [i, { id, role }] of paths.entries()) {
    const now = back.shapes[i] && again.roles.get(back.shapes[i].id);
    if (role !== undefined && now !== role)
      throw refusal(`the shape ${id}, ${role} in the drawing, which would be ${now ?? 'lost'} in ${FORMAT}`);
  }
};
