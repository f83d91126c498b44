/** From the entities of a file to the shapes of a drawing: blocks drawn in each place, layers, visibility, colours, names. */
import { compose, determinant, type Matrix, rotation, scaling, translation } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import { uniqueNames } from '../cut-file.js';
import type { Group } from '../drawing.js';
import type { LeftOutList } from '../left-out.js';
import { ShapeStore } from '../shape-store.js';
import { indexedColour } from './colour-index.js';
import type { CurveEntity, DxfEntity, DxfFile, DxfLayer, InsertEntity } from './entities.js';
import { instanceSizes, mostInstances } from './instance-sizes.js';
import { facedMatrix, PlacingFault, placeEntity, tilted } from './place-entity.js';
import { excerpt, fault, type Tags } from './tags.js';

/** Segments of the shapes that blocks add to one drawing. */
const mostInstanceSegments = 1_000_000;
/** Blocks within blocks. */
const deepestBlocks = 64;

const layerZero = '0';
const byBlock = 0;
const byLayer = 256;

/** What a block's content takes from the place it is drawn in; the model space is the outermost one. */
interface Place {
  /** Coordinates of the entities to the design frame. */
  readonly matrix: Matrix;
  /** Names of the blocks around, innermost first. */
  readonly blocks: readonly string[];
  /** What an entity of layer 0 takes over; undefined in the model space. */
  readonly layer?: string;
  /** What an entity coloured by block takes over. */
  readonly stroke: string;
  /** Handles of the inserts around; undefined where one of them has none. */
  readonly prefix: string | undefined;
  readonly parent?: Place;
  /** The groups of this place met so far, by layer. */
  groups: Map<string, Group> | undefined;
  /** The layers of a shape, by its own layer; the same for all cells of an array. */
  readonly layers: Map<string, readonly string[]>;
}

/** @param scale from the model space to the design frame */
export const expandDxf = (file: DxfFile, tags: Tags, scale: Matrix, leftOut: LeftOutList): ShapeStore => {
  const expansion = new Expansion(file, tags, leftOut);
  // Black on white and white on black.
  const model: Place = {
    matrix: scale,
    blocks: [],
    stroke: indexedColour(7),
    prefix: '',
    groups: new Map(),
    layers: new Map(),
  };
  expansion.draw(file.entities, model);
  return expansion.shapes;
};

class Expansion {
  readonly shapes = new ShapeStore();
  private readonly uniqueName = uniqueNames();
  private readonly layers = new Map<string, DxfLayer | undefined>();
  private readonly size: (insert: InsertEntity) => number;
  private foreseen = 0;
  private instanceSegments = 0;

  constructor(
    private readonly file: DxfFile,
    private readonly tags: Tags,
    private readonly leftOut: LeftOutList,
  ) {
    this.size = instanceSizes(file.blocks);
  }

  draw(entities: Iterable<DxfEntity>, place: Place): void {
    for (const entity of entities) {
      if (entity.kind === 'left-out') {
        this.note(entity, entity.why);
        continue;
      }
      const { properties } = entity;
      if (properties.invisible) this.note(properties, 'it is marked as invisible');
      else if (properties.paperSpace) {
        this.note(properties, 'it lies on a sheet (paper space), not in the model');
      } else if (entity.kind === 'insert') this.insert(entity, place);
      else this.drawCurve(entity, place);
    }
  }

  private note(entity: { readonly type: string; readonly at: number }, why: string): void {
    this.leftOut.note(excerpt(entity.type), this.tags.place(entity.at), why);
  }

  private drawCurve(entity: CurveEntity, place: Place): void {
    const layer = layerOf(entity, place);
    const properties = this.layer(layer);
    if (properties?.frozen || properties?.off) {
      this.note(entity.properties, `its layer ${excerpt(layer)} is ${properties.frozen ? 'frozen' : 'off'}`);
      return;
    }
    const { paths, why, note } = this.guard(entity, () => placeEntity(entity, place.matrix));
    if (note !== undefined) this.leftOut.note(note.what, this.tags.place(entity.properties.at), note.why);
    if (why !== undefined) {
      this.note(entity.properties, why);
      return;
    }
    if (place.parent !== undefined) {
      for (const path of paths) this.instanceSegments += path.segments.length;
      if (this.instanceSegments > mostInstanceSegments) throw this.tooMany(entity.properties);
    }
    const element = entity.properties.type.toLowerCase();
    const name = properties?.name ?? layer;
    const line = this.tags.where(entity.properties.at).line;
    const { handle } = entity.properties;
    // Without a handle it is named by kind and number.
    const isNumbered = handle === undefined || place.prefix === undefined;
    for (const path of paths) this.shapes.curves.keepPath(path);
    this.shapes.add({
      id: isNumbered ? undefined : this.uniqueName(`entity-${place.prefix}${handle}`),
      labels: undefined,
      element,
      layers: layersOf(name, place),
      group: groupOf(name, place),
      stroke: this.strokeOf(entity, layer, place),
      line,
    });
  }

  private guard<T>(entity: CurveEntity, work: () => T): T {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof PlacingFault)) throw error;
      const { type, at } = entity.properties;
      throw fault(this.tags, `${error.found} in ${type}`, error.expected, error.next, at);
    }
  }

  private insert(entity: InsertEntity, place: Place): void {
    const layer = layerOf(entity, place);
    const properties = this.layer(layer);
    if (properties?.frozen) {
      this.note(entity.properties, `its layer ${excerpt(layer)} is frozen`);
      return;
    }
    const block = this.file.blocks.get(entity.block.toUpperCase());
    if (block === undefined || block.external) {
      const name = excerpt(entity.block);
      this.note(
        entity.properties,
        block ? `its block ${name} is in another file` : `its block ${name} is not in the file`,
      );
      return;
    }
    this.refuseLoop(entity, block.name, place);
    if (place.parent === undefined) {
      this.foreseen += this.size(entity);
      if (this.foreseen > mostInstances) throw this.tooMany(entity.properties);
    }
    const matrix = facedMatrix(place.matrix, entity.facing);
    if (matrix === undefined) {
      this.note(entity.properties, tilted);
      return;
    }
    const { insertion, scale } = entity;
    const { handle } = entity.properties;
    const turned = compose(matrix, compose(translation(insertion.x, insertion.y), rotation(entity.rotation)));
    const scaled = compose(scaling(scale[0], scale[1]), translation(-block.base.x, -block.base.y));
    if (determinant(scaled) === 0) {
      this.note(entity.properties, 'its scale flattens it to nothing');
      return;
    }
    const inner: Omit<Place, 'matrix' | 'groups'> = {
      blocks: [block.name, ...place.blocks],
      layer,
      stroke: this.strokeOf(entity, layer, place),
      prefix: handle === undefined || place.prefix === undefined ? undefined : `${place.prefix}${handle}.`,
      parent: place,
      layers: new Map(),
    };
    for (const shift of this.cells(entity)) {
      const cell = compose(turned, compose(translation(shift.x, shift.y), scaled));
      this.draw(block.entities, { ...inner, matrix: cell, groups: undefined });
    }
  }

  /** The places of an array, along the turned axes; copies that would lie on each other are drawn once. */
  private *cells(entity: InsertEntity): Generator<Point> {
    const [dx, dy] = entity.spacing;
    const columns = dx === 0 ? 1 : entity.columns;
    const rows = dy === 0 ? 1 : entity.rows;
    if (columns < entity.columns || rows < entity.rows) {
      const why = 'its spacing is 0, so all copies lie in one place: one is taken';
      this.leftOut.note('copies of an INSERT', this.tags.place(entity.properties.at), why);
    }
    for (let row = 0; row < rows; row += 1) {
      for (let column = 0; column < columns; column += 1) yield { x: column * dx, y: row * dy };
    }
  }

  private refuseLoop(entity: InsertEntity, name: string, place: Place): void {
    if (place.blocks.includes(name)) {
      const around = place.blocks.slice(0, place.blocks.indexOf(name) + 1).reverse();
      const chain = [...around, name].map(excerpt).join(' > ');
      throw this.refusal(entity.properties, `a block that holds itself: ${chain}`, 'blocks without a loop');
    }
    if (place.blocks.length >= deepestBlocks) {
      const found = `blocks nested more than ${deepestBlocks} deep`;
      throw this.refusal(entity.properties, found, `at most ${deepestBlocks} blocks within each other`);
    }
  }

  private tooMany(entity: { readonly at: number }) {
    return this.refusal(
      entity,
      'blocks that multiply to millions of shapes',
      `at most ${mostInstances} entities and ${mostInstanceSegments} segments drawn through INSERT`,
    );
  }

  private refusal(entity: { readonly at: number }, found: string, expected: string) {
    const next = 'Export the drawing with its blocks exploded into plain entities.';
    return fault(this.tags, found, expected, next, entity.at);
  }

  /** By the name as an entity spells it. */
  private layer(name: string): DxfLayer | undefined {
    if (!this.layers.has(name)) this.layers.set(name, this.file.layers.get(name.toUpperCase()));
    return this.layers.get(name);
  }

  /** `#rrggbb` */
  private strokeOf({ properties: own }: CurveEntity | InsertEntity, layer: string, place: Place): string {
    if (own.trueColour !== undefined) return trueColour(own.trueColour);
    if (own.colour === byBlock) return place.stroke;
    if (own.colour > byBlock && own.colour < byLayer) return indexedColour(own.colour);
    const properties = this.layer(layer);
    if (properties?.trueColour !== undefined) return trueColour(properties.trueColour);
    return indexedColour(properties?.colour ?? 7);
  }
}

const layerOf = ({ properties }: CurveEntity | InsertEntity, place: Place): string =>
  properties.layer === layerZero ? (place.layer ?? layerZero) : properties.layer;

const trueColour = (value: number): string => `#${(value & 0xffffff).toString(16).padStart(6, '0')}`;

/** An insert encloses its shapes and lies itself in the layer, as if drawn there: the parts of one mark stay together. */
const groupOf = (layer: string, place: Place): Group => {
  const known = place.groups?.get(layer);
  if (known !== undefined) return known;
  const { parent, blocks } = place;
  const group: Group =
    parent === undefined ? { names: [layer] } : { names: [blocks[0]!], parent: groupOf(layer, parent) };
  place.groups ??= new Map();
  place.groups.set(layer, group);
  return group;
};

const layersOf = (layer: string, { blocks, layers }: Place): readonly string[] => {
  let names = layers.get(layer);
  if (names === undefined) {
    names = [layer, ...blocks.filter((block) => block !== layer)];
    layers.set(layer, names);
  }
  return names;
};
