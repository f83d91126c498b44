/** From the tags of an entity to what it says. */

import { facingOf } from './blocks/facing.js';
import type { DxfEntity, Vector } from './entities.js';
import type { EntityList } from './entity-list.js';
import { leftOutAs, type Properties, propertiesOf, Shared } from './properties.js';
import { hatchType, readHatch } from './read-hatch.js';
import { readPolyline, readVertexList } from './read-polyline.js';
import { readSpline } from './read-spline.js';
import { DxfRecord, skipRecord } from './tags/record.js';
import type { Tags } from './tags/tags.js';
import { unknownType, unreadTypes } from './unread-types.js';

const fullTurn = 2 * Math.PI;

/** Reads entities one after another. */
export class EntityReader {
  private readonly record: DxfRecord;
  private readonly shared = new Shared();

  constructor(private readonly tags: Tags) {
    this.record = new DxfRecord(tags);
  }

  /**
   * Reads the entity whose first tag is at hand, with the vertices or attributes that belong to it,
   * and adds it to `into`; the first tag after it is then at hand.
   * @throws InputError
   */
  read(into: EntityList): void {
    const { tags, record } = this;
    const type = tags.text();
    if (type === hatchType) {
      record.read();
      for (const entity of readHatch(record, propertiesOf(record, this.shared))) into.push(entity);
      return;
    }
    const read = readers.get(type);
    if (read === undefined) {
      const why = unreadTypes.get(type) ?? unknownType;
      into.push({ kind: 'left-out', type: this.shared.word(type), at: tags.at, why });
      skipRecord(tags);
      return;
    }
    record.read();
    into.push(read(record, propertiesOf(record, this.shared), tags));
    if (type === 'INSERT') this.readAttributes(into);
  }

  private readAttributes(into: EntityList): void {
    const { tags } = this;
    while (tags.is('ATTRIB')) this.read(into);
    if (tags.is('SEQEND')) skipRecord(tags);
  }
}

type Reader = (record: DxfRecord, properties: Properties, tags: Tags) => DxfEntity;

/** Heights are optional. */
const vector = (record: DxfRecord, code: number, what: string): Vector => ({
  x: record.need(code, what),
  y: record.need(code + 10, what),
  z: record.first(code + 20) ?? 0,
});

const radians = (degrees: number): number => ((degrees % 360) * Math.PI) / 180;

/**
 * An arc that comes round to this part of a turn is whole: in radians, six decimals are all that
 * some files give.
 */
const nearlyWhole = 2e-7;

/**
 * How far it is counter-clockwise from one angle to another; a whole turn where they agree but for
 * whole turns.
 */
const sweepOf = (start: number, end: number, turn: number): number => {
  const travelled = (((end - start) % turn) + turn) % turn;
  const part = travelled / turn;
  return part < nearlyWhole || part > 1 - nearlyWhole ? turn : travelled;
};

const readLine: Reader = (record, properties) => ({
  properties,
  kind: 'line',
  from: vector(record, 10, 'a start point'),
  to: vector(record, 11, 'an end point'),
});

const radiusOf = (record: DxfRecord): number => {
  const radius = record.need(40, 'a radius');
  if (radius >= 0) return radius;
  throw record.fault(`${record.label} with the radius ${radius}`, 'a radius above 0');
};

const readCircle: Reader = (record, properties) => ({
  properties,
  kind: 'round',
  facing: facingOf(record),
  centre: vector(record, 10, 'a centre'),
  radius: radiusOf(record),
  start: 0,
  sweep: fullTurn,
});

const readArc: Reader = (record, properties) => {
  const start = record.need(50, 'a start angle');
  const end = record.need(51, 'an end angle');
  if (start === end) return leftOutAs(properties, 'it starts and ends at the same angle');
  return {
    properties,
    kind: 'round',
    facing: facingOf(record),
    centre: vector(record, 10, 'a centre'),
    radius: radiusOf(record),
    start: radians(start),
    sweep: (sweepOf(start, end, 360) * Math.PI) / 180,
  };
};

const readEllipse: Reader = (record, properties) => {
  const start = record.first(41) ?? 0;
  return {
    properties,
    kind: 'ellipse',
    facing: facingOf(record),
    centre: vector(record, 10, 'a centre'),
    major: vector(record, 11, 'a major axis'),
    ratio: record.need(40, 'a ratio of its axes'),
    start: start % fullTurn,
    sweep: sweepOf(start, record.first(42) ?? start + fullTurn, fullTurn),
  };
};

const readInsert: Reader = (record, properties) => {
  if (record.name === undefined || record.name === '') {
    throw record.fault('an INSERT that names no block', 'the name of a block (group 2)');
  }
  return {
    properties,
    kind: 'insert',
    facing: facingOf(record),
    block: record.name,
    insertion: vector(record, 10, 'an insertion point'),
    scale: [record.first(41) ?? 1, record.first(42) ?? 1],
    rotation: radians(record.first(50) ?? 0),
    columns: Math.max(1, record.whole(70, 1)),
    rows: Math.max(1, record.whole(71, 1)),
    spacing: [record.first(44) ?? 0, record.first(45) ?? 0],
  };
};

const readers: ReadonlyMap<string, Reader> = new Map<string, Reader>([
  ['LINE', readLine],
  ['CIRCLE', readCircle],
  ['ARC', readArc],
  ['ELLIPSE', readEllipse],
  ['LWPOLYLINE', readVertexList],
  ['POLYLINE', readPolyline],
  ['SPLINE', readSpline],
  ['INSERT', readInsert],
]);
