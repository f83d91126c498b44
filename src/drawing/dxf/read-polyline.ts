/** LWPOLYLINE, and the older POLYLINE with a record for each vertex. */

import { facingOf } from './blocks/facing.js';
import type { DxfEntity, PolylineEntity } from './entities.js';
import { leftOutAs, type Properties } from './properties.js';
import { DxfRecord, skipRecord } from './tags/record.js';
import type { Tags } from './tags/tags.js';

/** Flags of a polyline and of its vertices, group 70: the published DXF reference, from memory. */
const closedFlag = 1;
const inSpaceFlag = 8;
const meshFlags = 16 | 64;
const frameVertexFlag = 16;

const isWidth = (code: number): boolean => code === 40 || code === 41 || code === 43;

export const readVertexList = (record: DxfRecord, properties: Properties): PolylineEntity => {
  let size = 0;
  for (let i = 0; i < record.count; i += 1) if (record.codes[i] === 10) size += 1;
  const vertices = new Float64Array(3 * size);
  let at = -3;
  let seenY = size === 0;
  let wide = false;
  for (let i = 0; i < record.count; i += 1) {
    const code = record.codes[i]!;
    const value = record.values[i]!;
    if (code === 10) {
      if (at >= 0 && !seenY) break;
      at += 3;
      vertices[at] = value;
      seenY = false;
    } else if (at >= 0 && code === 20 && !seenY) {
      vertices[at + 1] = value;
      seenY = true;
    } else if (at >= 0 && code === 42) vertices[at + 2] = value;
    else if (isWidth(code) && value !== 0) wide = true;
  }
  if (!seenY)
    throw record.fault(
      `${record.label} with a vertex that has no y`,
      'x and y (groups 10 and 20) for each vertex',
    );
  const stated = record.whole(90, size);
  if (stated !== size) {
    throw record.fault(
      `${record.label} of ${size} vertices that says it has ${stated}`,
      `${stated} vertices`,
    );
  }
  const closed = (record.whole(70, 0) & closedFlag) !== 0;
  return { properties, kind: 'polyline', facing: facingOf(record), vertices, closed, wide };
};

/** The record is the POLYLINE's own; the tag at hand begins its first VERTEX. */
export const readPolyline = (record: DxfRecord, properties: Properties, tags: Tags): DxfEntity => {
  const flags = record.whole(70, 0);
  const inSpace = (flags & inSpaceFlag) !== 0;
  const closed = (flags & closedFlag) !== 0;
  const facing = inSpace ? 'up' : facingOf(record);
  let wide = (record.first(40) ?? 0) !== 0 || (record.first(41) ?? 0) !== 0;
  const numbers: number[] = [];
  const vertex = new DxfRecord(tags);
  while (tags.is('VERTEX')) {
    vertex.read();
    // The frame of a smoothed polyline is not drawn.
    if ((vertex.whole(70, 0) & frameVertexFlag) !== 0) continue;
    // The vertices of a mesh may be mere faces, which have no place.
    if ((flags & meshFlags) !== 0) continue;
    if ((vertex.first(40) ?? 0) !== 0 || (vertex.first(41) ?? 0) !== 0) wide = true;
    const third = inSpace ? (vertex.first(30) ?? 0) : (vertex.first(42) ?? 0);
    numbers.push(vertex.need(10, 'a place'), vertex.need(20, 'a place'), third);
  }
  if (tags.is('SEQEND')) skipRecord(tags);
  if ((flags & meshFlags) !== 0) return leftOutAs(properties, 'it is a mesh in space');
  const vertices = Float64Array.from(numbers);
  if (inSpace) return { properties, kind: 'space-polyline', vertices, closed };
  return { properties, kind: 'polyline', facing, vertices, closed, wide };
};
