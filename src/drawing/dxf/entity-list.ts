/**
 * The entities of a file until they are drawn: numbers, of which each entity is made when it is
 * asked for.
 */

import { NumberList } from '../../numeric/number-list.js';
import type {
  DxfEntity,
  Facing,
  InsertEntity,
  LineEntity,
  PolylineEntity,
  RoundEntity,
  Vector,
} from './entities.js';
import type { Properties } from './properties.js';

/**
 * Lines, circles, arcs, polylines and inserts come in hundreds of thousands; of the others each is
 * kept as it is.
 */
type KeptKind = 'line' | 'round' | 'polyline' | 'insert';

/** What an entity says that many others say as well. */
interface Head {
  readonly kind: KeptKind;
  readonly type: string;
  readonly layer: string;
  readonly colour: number;
  /** Whether it has a colour of its own, which stands with its numbers. */
  readonly isPainted: boolean;
  readonly invisible: boolean;
  readonly paperSpace: boolean;
  readonly facing: Facing;
  /** Of a polyline. */
  readonly closed: boolean;
  readonly wide: boolean;
  /** Of an insert. */
  readonly block: string;
  /** Of an insert: neither scaled nor an array. */
  readonly single: boolean;
}

const lateHeads = 64;

/** In place of the number of a head. */
const other = -1;

/** Entities in the order of the file. */
export class EntityList {
  private readonly numbers = new NumberList();
  private readonly heads: Head[] = [];
  private readonly numberOfHead = new Map<string, number>();
  /**
   * Heads that came lately, by a few of their letters: entities of a few kinds follow each other in
   * turn.
   */
  private readonly lately = new Int32Array(lateHeads).fill(-1);
  private readonly handles: (string | undefined)[] = [];
  private readonly others: DxfEntity[] = [];
  /** Reads from here. */
  private cursor = 0;

  get size(): number {
    return this.handles.length;
  }

  push(entity: DxfEntity): void {
    if (
      entity.kind !== 'line' &&
      entity.kind !== 'round' &&
      entity.kind !== 'polyline' &&
      entity.kind !== 'insert'
    ) {
      this.handles.push(undefined);
      this.others.push(entity);
      this.put(other);
      return;
    }
    this.handles.push(entity.properties.handle);
    this.put(this.headNumber(headOf(entity)));
    this.put(entity.properties.at);
    if (entity.properties.trueColour !== undefined) this.put(entity.properties.trueColour);
    switch (entity.kind) {
      case 'line':
        this.vector(entity.from);
        this.vector(entity.to);
        return;
      case 'round':
        this.vector(entity.centre);
        this.put(entity.radius);
        this.put(entity.start);
        this.put(entity.sweep);
        return;
      case 'polyline':
        this.put(entity.vertices.length);
        for (let i = 0; i < entity.vertices.length; i += 1) this.put(entity.vertices[i]!);
        return;
      default:
        this.vector(entity.insertion);
        this.put(entity.rotation);
        if (isSingle(entity)) return;
        this.put(entity.scale[0]);
        this.put(entity.scale[1]);
        this.put(entity.columns);
        this.put(entity.rows);
        this.put(entity.spacing[0]);
        this.put(entity.spacing[1]);
    }
  }

  /** The entities, each made anew; a list may be gone through while it is gone through. */
  *[Symbol.iterator](): Generator<DxfEntity> {
    let at = 0;
    let others = 0;
    for (let i = 0; i < this.size; i += 1) {
      this.cursor = at;
      let entity: DxfEntity;
      const head = this.take();
      if (head === other) {
        entity = this.others[others]!;
        others += 1;
      } else entity = this.entity(this.heads[head]!, this.handles[i]);
      at = this.cursor;
      yield entity;
    }
  }

  private entity(head: Head, handle: string | undefined): DxfEntity {
    const { kind, type, layer, colour, isPainted, invisible, paperSpace, facing } = head;
    const at = this.take();
    const trueColour = isPainted ? this.take() : undefined;
    const properties: Properties = { type, at, handle, layer, colour, trueColour, invisible, paperSpace };
    switch (kind) {
      case 'line':
        return { properties, kind, from: this.takeVector(), to: this.takeVector() };
      case 'round':
        return {
          properties,
          kind,
          facing,
          centre: this.takeVector(),
          radius: this.take(),
          start: this.take(),
          sweep: this.take(),
        };
      case 'polyline': {
        const vertices = new Float64Array(this.take());
        for (let k = 0; k < vertices.length; k += 1) vertices[k] = this.take();
        return { properties, kind, facing, vertices, closed: head.closed, wide: head.wide };
      }
      default: {
        const { block, single } = head;
        const insertion = this.takeVector();
        const rotation = this.take();
        return {
          properties,
          kind,
          facing,
          block,
          insertion,
          rotation,
          scale: single ? unscaled : [this.take(), this.take()],
          columns: single ? 1 : this.take(),
          rows: single ? 1 : this.take(),
          spacing: single ? unspaced : [this.take(), this.take()],
        };
      }
    }
  }

  private headNumber(head: Head): number {
    const slot = (lastLetter(head.layer) + 3 * lastLetter(head.block) + 7 * head.type.length) % lateHeads;
    const late = this.lately[slot]!;
    if (late >= 0 && isSame(this.heads[late]!, head)) return late;
    const key = JSON.stringify(Object.values(head));
    let number = this.numberOfHead.get(key);
    if (number === undefined) {
      number = this.heads.push(head) - 1;
      this.numberOfHead.set(key, number);
    }
    this.lately[slot] = number;
    return number;
  }

  private vector({ x, y, z }: Vector): void {
    this.put(x);
    this.put(y);
    this.put(z);
  }

  private takeVector(): Vector {
    return { x: this.take(), y: this.take(), z: this.take() };
  }

  private put(value: number): void {
    this.numbers.push(value);
  }

  private take(): number {
    const at = this.cursor;
    this.cursor = at + 1;
    return this.numbers.at(at);
  }
}

const unscaled: readonly [number, number] = [1, 1];
const unspaced: readonly [number, number] = [0, 0];

const isSingle = ({ scale, columns, rows, spacing }: InsertEntity): boolean =>
  scale[0] === 1 && scale[1] === 1 && columns === 1 && rows === 1 && spacing[0] === 0 && spacing[1] === 0;

const headOf = (entity: LineEntity | RoundEntity | PolylineEntity | InsertEntity): Head => {
  const { type, layer, colour, trueColour, invisible, paperSpace } = entity.properties;
  const { kind } = entity;
  return {
    kind,
    type,
    layer,
    colour,
    isPainted: trueColour !== undefined,
    invisible,
    paperSpace,
    facing: kind === 'line' ? 'up' : entity.facing,
    closed: kind === 'polyline' && entity.closed,
    wide: kind === 'polyline' && entity.wide,
    block: kind === 'insert' ? entity.block : '',
    single: kind === 'insert' && isSingle(entity),
  };
};

const lastLetter = (word: string): number => (word === '' ? 0 : word.charCodeAt(word.length - 1));

const isSame = (a: Head, b: Head): boolean =>
  a.kind === b.kind &&
  a.type === b.type &&
  a.layer === b.layer &&
  a.colour === b.colour &&
  a.isPainted === b.isPainted &&
  a.invisible === b.invisible &&
  a.paperSpace === b.paperSpace &&
  a.facing === b.facing &&
  a.closed === b.closed &&
  a.wide === b.wide &&
  a.block === b.block &&
  a.single === b.single;

export interface DxfBlock {
  readonly name: string;
  readonly base: Vector;
  /** True for a block whose content is in another file. */
  readonly external: boolean;
  readonly entities: EntityList;
}

/** A whole file. */
export interface DxfFile {
  /** $INSUNITS and where it stands; undefined where the file has none. */
  readonly units: { readonly code: number; readonly at: number } | undefined;
  /** $EXTMIN and $EXTMAX, as far as they are there. */
  readonly extent: { readonly width: number; readonly height: number } | undefined;
  /** By name in upper case: DXF makes no difference between upper and lower case. */
  readonly layers: ReadonlyMap<string, DxfLayer>;
  readonly blocks: ReadonlyMap<string, DxfBlock>;
  /** Of the model space. */
  readonly entities: EntityList;
  /** False for a file that ends without its EOF, though behind a whole section. */
  readonly hasEnd: boolean;
  /** Where its section of entities begins, or its last tag where it has none; for messages. */
  readonly entitiesAt: number;
}

export interface DxfLayer {
  readonly name: string;
  readonly frozen: boolean;
  readonly off: boolean;
  /** False for a layer that is shown and not plotted: notes and construction lines lie there. */
  readonly plotted: boolean;
  readonly colour: number;
  readonly trueColour: number | undefined;
}
