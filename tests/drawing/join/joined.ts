/** Drawings joined for a test. */

import { type JoinedDrawing, joinDrawing } from '../../../src/drawing/join/join.js';
import { kindsBy, kindsByRole } from '../../../src/drawing/join/kinds.js';
import type { Drawing, Shape } from '../../../src/drawing/model/drawing.js';
import { rolesBefore } from '../../../src/drawing/roles/roles.js';
import { endOf, type Path, startOf } from '../../../src/geometry/curve.js';
import { distance } from '../../../src/geometry/point.js';
import { defaultRoles } from '../../../src/job/job.js';
import { readBody } from '../svg-text.js';

/** The body of an SVG page of 100 mm, joined under the default roles. Its shapes are lines: nothing is filled. */
export const joinBody = (body: string, reach = 0.01, called: readonly string[] = []): JoinedDrawing =>
  joinedFrom(readBody(`<g fill="none">${body}</g>`), reach, called);

const joinedFrom = (drawing: Drawing, reach: number, called: readonly string[]): JoinedDrawing =>
  joinDrawing(drawing, {
    distance: reach,
    kindOf: kindsBy(rolesBefore(drawing, defaultRoles).byName, new Set(called)),
    widerKindOf: kindsByRole(rolesBefore(drawing, defaultRoles).byLayer, new Set(called)),
  });

/** `<line>` elements through the given coordinates, two points each. */
export const lines = (...ends: readonly (readonly [number, number, number, number])[]): string =>
  ends.map(([x1, y1, x2, y2]) => `<line x1="${x1}" y1="${y1}" x2="${x2}" y2="${y2}"/>`).join('');

export const ids = ({ drawing }: JoinedDrawing): string[] => drawing.shapes.map(({ id }) => id);

export const codes = ({ drawing }: JoinedDrawing): string[] => drawing.warnings.map(({ code }) => code);

export const said = ({ drawing }: JoinedDrawing, code: string): string =>
  drawing.warnings
    .filter((warning) => warning.code === code)
    .map(({ message }) => message)
    .join('\n');

export const onlyPathOf = (joined: JoinedDrawing): Path => {
  const paths = joined.drawing.shapes.flatMap((shape: Shape) => shape.paths);
  if (paths.length !== 1) throw new Error(`${paths.length} paths`);
  return paths[0]!;
};

/** The widest distance between segments that follow each other, round a closed path. */
export const widestLeak = ({ segments, closed }: Path): number => {
  let widest = 0;
  segments.forEach((s, i) => {
    const next = segments[i + 1] ?? (closed ? segments[0] : undefined);
    if (next !== undefined) widest = Math.max(widest, distance(endOf(s), startOf(next)));
  });
  return widest;
};
