/** SPLINE: control points with knots and weights, or points to pass through. */
import { limits } from '../../job/bounds.js';
import type { DxfEntity, Vector } from './entities.js';
import type { Properties } from './properties.js';
import type { DxfRecord } from './tags/record.js';

const closedFlag = 1;
/**
 * Splines of drawings have degree 3, seldom 5 or more; drawing programs stop at about 10 (common
 * practice, no source).
 */
const highestDegree = limits.splineDegree.most;
/** Weights further apart than this make a curve that no one drew. */
const largestWeightRatio = 1e12;

export const readSpline = (record: DxfRecord, properties: Properties): DxfEntity => {
  const closed = (record.whole(70, 0) & closedFlag) !== 0;
  const controls = points(record, 10, 'control point', 73);
  const fitPoints = points(record, 11, 'fit point', 74);
  if (controls.length === 0 && fitPoints.length > 0) {
    return {
      properties,
      kind: 'fit-spline',
      points: fitPoints,
      startTangent: direction(record, 12),
      endTangent: direction(record, 13),
      closed,
    };
  }
  const degree = record.whole(71, 3);
  if (degree < 1 || degree > highestDegree) {
    throw record.fault(`a SPLINE of degree ${degree}`, `a degree from 1 to ${highestDegree}`);
  }
  if (controls.length <= degree) {
    const found = `a SPLINE of degree ${degree} with ${controls.length} control points`;
    throw record.fault(found, `at least ${degree + 1} of them`);
  }
  return {
    properties,
    kind: 'spline',
    degree,
    knots: knotsOf(record, controls.length + degree + 1),
    controls,
    weights: weightsOf(record, controls.length),
    closed,
  };
};

const points = (record: DxfRecord, code: number, what: string, countCode: number): Vector[] => {
  const found: { x: number; y: number | undefined; z: number }[] = [];
  for (let i = 0; i < record.count; i += 1) {
    const value = record.values[i]!;
    const last = found.at(-1);
    if (record.codes[i] === code) found.push({ x: value, y: undefined, z: 0 });
    else if (last === undefined) continue;
    else if (record.codes[i] === code + 10) last.y ??= value;
    else if (record.codes[i] === code + 20) last.z = value;
  }
  const complete = found.map(({ x, y, z }) => {
    if (y !== undefined) return { x, y, z };
    throw record.fault(
      `a SPLINE with a ${what} that has no y`,
      `x and y (groups ${code} and ${code + 10}) for each`,
    );
  });
  const stated = record.whole(countCode, found.length);
  if (stated === found.length) return complete;
  throw record.fault(
    `a SPLINE with ${found.length} ${what}s that says it has ${stated}`,
    `${stated} ${what}s`,
  );
};

const direction = (record: DxfRecord, code: number): Vector | undefined => {
  const x = record.first(code);
  const y = record.first(code + 10);
  if (x === undefined || y === undefined || (x === 0 && y === 0)) return undefined;
  return { x, y, z: record.first(code + 20) ?? 0 };
};

const knotsOf = (record: DxfRecord, needed: number): number[] => {
  const knots = record.all(40);
  if (knots.length !== needed) {
    const found = `a SPLINE with ${knots.length} knots`;
    throw record.fault(found, `${needed} knots for its degree and its control points`);
  }
  if (knots.some((knot, i) => i > 0 && knot < knots[i - 1]!)) {
    throw record.fault('a SPLINE whose knots go back', 'knots that never decrease');
  }
  if (!Number.isFinite(knots[needed - 1]! - knots[0]!)) {
    throw record.fault('a SPLINE whose knots are too large to compute with', 'knots of a sound size');
  }
  return knots;
};

const weightsOf = (record: DxfRecord, needed: number): number[] | undefined => {
  const weights = record.all(41);
  if (weights.length === 0) return undefined;
  if (weights.length !== needed) {
    throw record.fault(
      `a SPLINE with ${weights.length} weights`,
      `${needed} weights, one for each control point`,
    );
  }
  const wrong = weights.find((weight) => !(weight > 0));
  if (wrong !== undefined) throw record.fault(`a SPLINE with the weight ${wrong}`, 'weights above 0');
  // Only the ratios matter; the largest weight becomes 1.
  const largest = weights.reduce((a, b) => Math.max(a, b));
  const smallest = weights.reduce((a, b) => Math.min(a, b));
  if (largest / smallest > largestWeightRatio) {
    throw record.fault(
      `a SPLINE with weights from ${smallest} to ${largest}`,
      'weights in a sound proportion',
    );
  }
  return largest === smallest ? undefined : weights.map((weight) => weight / largest);
};
