/** The entities of a file until they are drawn: numbers, of which each entity is made when it is asked for. */
import type { DxfEntity, Facing, Vector } from './entities.js';
import type { Properties } from './properties.js';

const blockSize = 65_536;
const smallestBlock = 256;

const facings: readonly Facing[] = ['up', 'down', 'tilted'];

const invisibleFlag = 1;
const paperSpaceFlag = 2;
const closedFlag = 4;
const wideFlag = 8;

/** Lines, circles, arcs, polylines and inserts come in hundreds of thousands; of the others each is kept as it is. */
const kindOfOther = 0;
const kindOfLine = 1;
const kindOfRound = 2;
const kindOfPolyline = 3;
const kindOfInsert = 4;

/** Entities in the order of the file. */
export class EntityList {
  /** Of each block as many numbers as fit, except that the first one grows: a small list stays small. */
  private readonly blocks: Float64Array[] = [new Float64Array(smallestBlock)];
  private used = 0;
  private readonly words: string[] = [];
  private readonly numberOfWord = new Map<string, number>();
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
      this.put(kindOfOther);
      return;
    }
    const { properties } = entity;
    this.handles.push(properties.handle);
    switch (entity.kind) {
      case 'line':
        this.head(kindOfLine, properties, 0);
        this.vector(entity.from);
        this.vector(entity.to);
        return;
      case 'round':
        this.head(kindOfRound, properties, 0);
        this.put(facings.indexOf(entity.facing));
        this.vector(entity.centre);
        this.put(entity.radius);
        this.put(entity.start);
        this.put(entity.sweep);
        return;
      case 'polyline':
        this.head(
          kindOfPolyline,
          properties,
          (entity.closed ? closedFlag : 0) + (entity.wide ? wideFlag : 0),
        );
        this.put(facings.indexOf(entity.facing));
        this.put(entity.vertices.length);
        for (const number of entity.vertices) this.put(number);
        return;
      default:
        this.head(kindOfInsert, properties, 0);
        this.put(facings.indexOf(entity.facing));
        this.put(this.wordNumber(entity.block));
        this.vector(entity.insertion);
        this.put(entity.scale[0]);
        this.put(entity.scale[1]);
        this.put(entity.rotation);
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
      if (this.take() === kindOfOther) {
        entity = this.others[others]!;
        others += 1;
      } else {
        this.cursor = at;
        entity = this.entity(i);
      }
      at = this.cursor;
      yield entity;
    }
  }

  private entity(i: number): DxfEntity {
    const kind = this.take();
    const at = this.take();
    const type = this.words[this.take()]!;
    const layer = this.words[this.take()]!;
    const colour = this.take();
    const trueColour = this.take();
    const flags = this.take();
    const properties: Properties = {
      type,
      at,
      handle: this.handles[i],
      layer,
      colour,
      trueColour: Number.isNaN(trueColour) ? undefined : trueColour,
      invisible: (flags & invisibleFlag) !== 0,
      paperSpace: (flags & paperSpaceFlag) !== 0,
    };
    if (kind === kindOfLine) {
      return { properties, kind: 'line', from: this.takeVector(), to: this.takeVector() };
    }
    const facing = facings[this.take()]!;
    if (kind === kindOfRound) {
      return {
        properties,
        kind: 'round',
        facing,
        centre: this.takeVector(),
        radius: this.take(),
        start: this.take(),
        sweep: this.take(),
      };
    }
    if (kind === kindOfPolyline) {
      const vertices = new Float64Array(this.take());
      for (let k = 0; k < vertices.length; k += 1) vertices[k] = this.take();
      return {
        properties,
        kind: 'polyline',
        facing,
        vertices,
        closed: (flags & closedFlag) !== 0,
        wide: (flags & wideFlag) !== 0,
      };
    }
    return {
      properties,
      kind: 'insert',
      facing,
      block: this.words[this.take()]!,
      insertion: this.takeVector(),
      scale: [this.take(), this.take()],
      rotation: this.take(),
      columns: this.take(),
      rows: this.take(),
      spacing: [this.take(), this.take()],
    };
  }

  private head(kind: number, properties: Properties, more: number): void {
    this.put(kind);
    this.put(properties.at);
    this.put(this.wordNumber(properties.type));
    this.put(this.wordNumber(properties.layer));
    this.put(properties.colour);
    this.put(properties.trueColour ?? Number.NaN);
    const invisible = properties.invisible ? invisibleFlag : 0;
    this.put(more + invisible + (properties.paperSpace ? paperSpaceFlag : 0));
  }

  private wordNumber(word: string): number {
    const known = this.numberOfWord.get(word);
    if (known !== undefined) return known;
    this.numberOfWord.set(word, this.words.length);
    return this.words.push(word) - 1;
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
    const place = this.used % blockSize;
    let block = this.blocks[(this.used - place) / blockSize];
    if (block === undefined) {
      block = new Float64Array(blockSize);
      this.blocks.push(block);
    } else if (place === block.length) {
      const grown = new Float64Array(2 * place);
      grown.set(block);
      block = grown;
      this.blocks[0] = grown;
    }
    block[place] = value;
    this.used += 1;
  }

  private take(): number {
    const at = this.cursor;
    this.cursor = at + 1;
    return this.blocks[Math.floor(at / blockSize)]![at % blockSize]!;
  }
}
