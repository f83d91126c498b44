/** HATCH: of what bounds a filled area those boundaries that are polylines. */

import { facingOf } from './blocks/facing.js';
import type { DxfEntity, PolylineEntity } from './entities.js';
import { leftOutAs, type Properties } from './properties.js';
import type { DxfRecord } from './tags/record.js';

/** Flags of a boundary, group 92: the published DXF reference, from memory. */
const polylineFlag = 2;
const textBoxFlag = 8;

export const hatchType = 'HATCH';

/**
 * The number of boundaries (91), and for each its flags (92). Of a polyline follow whether it has
 * bulges (72), whether it is closed (73), how many vertices (93), and of each x, y and bulge (10,
 * 20, 42). A filled area ends at a straight line where its boundary is open.
 */
export const readHatch = (record: DxfRecord, properties: Properties): DxfEntity[] => {
  const { codes, values, count } = record;
  const facing = facingOf(record);
  const found: DxfEntity[] = [];
  let other = false;
  let i = 0;
  while (i < count && codes[i] !== 91) i += 1;
  for (; i < count; i += 1) {
    if (codes[i] !== 92) continue;
    const flags = values[i]!;
    if ((flags & textBoxFlag) !== 0) continue;
    if ((flags & polylineFlag) === 0) {
      other = true;
      continue;
    }
    while (i < count && codes[i] !== 93) i += 1;
    const vertices = new Float64Array(3 * verticesAfter(record, i));
    let at = -3;
    for (i += 1; i < count && at < vertices.length; i += 1) {
      const code = codes[i];
      if (code === 10) at += 3;
      if (at >= vertices.length || (code !== 10 && code !== 20 && code !== 42)) break;
      vertices[at + (code === 10 ? 0 : code === 20 ? 1 : 2)] = values[i]!;
    }
    i -= 1;
    if (at + 3 < vertices.length) {
      throw record.fault(
        `a HATCH with a boundary of ${(at + 3) / 3} vertices that says it has ${vertices.length / 3}`,
        `${vertices.length / 3} vertices`,
      );
    }
    const polyline: PolylineEntity = {
      properties,
      kind: 'polyline',
      facing,
      vertices,
      closed: true,
      wide: false,
    };
    if (vertices.length > 0) found.push(polyline);
  }
  if (other || found.length === 0) {
    const why = 'it fills an area; its boundary is taken only where it is a polyline or is drawn as well';
    found.push(leftOutAs(properties, why));
  }
  return found;
};

/** No more than there are tags. */
const verticesAfter = (record: DxfRecord, i: number): number => {
  const stated = i < record.count ? record.values[i]! : 0;
  if (Number.isInteger(stated) && stated >= 0 && stated <= record.count) return stated;
  throw record.fault(`a HATCH with a boundary of ${stated} vertices`, 'a count of vertices that follow');
};
