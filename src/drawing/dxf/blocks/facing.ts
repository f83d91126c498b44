/** Which way an entity faces. */
import type { Facing, Vector } from '../entities.js';
import type { DxfRecord } from '../tags/record.js';

/**
 * A direction this near to the axis (its sine) is the axis: foreshortening and shift stay below
 * 1e-6 of any height.
 */
const upright = 1e-6;

/**
 * From the extrusion direction, groups 210, 220 and 230 (default 0, 0, 1). After the DXF
 * reference's arbitrary axis algorithm (from memory) the axes of (0, 0, -1) are x to the left and y
 * up; every direction further from the z axis than this puts the entity's plane out of the
 * drawing's.
 */
export const facingOf = (record: DxfRecord): Facing => {
  const x = record.first(210) ?? 0;
  const y = record.first(220) ?? 0;
  const z = record.first(230) ?? 1;
  const size = Math.hypot(x, y, z);
  if (size === 0) throw record.fault(`${record.label} whose extrusion direction is 0, 0, 0`, 'a direction');
  if (Math.hypot(x, y) > upright * size) return 'tilted';
  return z > 0 ? 'up' : 'down';
};

/** A rise of this part of the extent shortens the view from above by less than a millionth. */
const levelSlope = 1e-3;

/**
 * Whether points lie at one height, so that the view from above shows their curve as it is, to a
 * millionth of its length.
 */
export const isLevel = (points: Iterable<Vector>): boolean => {
  let first: Vector | undefined;
  let rise = 0;
  let extent = 0;
  for (const p of points) {
    first ??= p;
    rise = Math.max(rise, Math.abs(p.z - first.z));
    extent = Math.max(extent, Math.abs(p.x - first.x), Math.abs(p.y - first.y));
  }
  return rise <= levelSlope * extent;
};
