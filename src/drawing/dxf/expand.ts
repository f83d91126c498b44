/** From the entities of a file to the shapes of a drawing: blocks drawn in each place, layers, visibility, colours, names. */
import { compose, determinant, type Matrix, rotation, scaling, translation } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import { uniqueNames } from '../cut-file.js';
import type { Group, Shape } from '../drawing.js';
import type { LeftOutList } from '../left-out.js';
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
  /** What the shapes of this place have in common, by layer. */
  readonly homes: Map<string, Home>;
}

/** Where shapes of one layer in one place belong. */
interface Home {
  readonly group: Group;
  readonly layers: readonly string[];
}

/** @param scale from the model space to the design frame */
export const expandDxf = (file: DxfFile, tags: Tags, scale: Matrix, leftOut: LeftOutList): Shape[] => {
  const expansion = new Expansion(file, tags, leftOut);
  // Black on white and white on black.
  const model: Place = { matrix: scale, blocks: [], stroke: 'aci:7', prefix: '', homes: new Map() };
  expansion.draw(file.entities, model);
  return expansion.shapes;
};

class Expansion {
  readonly shapes: Shape[] = [];
  private readonly uniqueName = uniqueNames();
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

  draw(entities: readonly DxfEntity[], place: Place): void {
    for (const entity of entities) {
      if (entity.kind === 'left-out') this.note(entity, entity.why);
      else if (entity.invisible) this.note(entity, 'it is marked as invisible');
      else if (entity.paperSpace) this.note(entity, 'it lies on a sheet (paper space), not in the model');
      else if (entity.kind === 'insert') this.insert(entity, place);
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
      this.note(entity, `its layer ${excerpt(layer)} is ${properties.frozen ? 'frozen' : 'off'}`);
      return;
    }
    const { paths, why, note } = this.guard(entity, () => placeEntity(entity, place.matrix));
    if (note !== undefined) this.leftOut.note(note.what, this.tags.place(entity.at), note.why);
    if (why !== undefined) {
      this.note(entity, why);
      return;
    }
    if (place.parent !== undefined) {
      for (const path of paths) this.instanceSegments += path.segments.length;
      if (this.instanceSegments > mostInstanceSegments) throw this.tooMany(entity);
    }
    const element = entity.type.toLowerCase();
    const name = properties?.name ?? layer;
    const line = this.tags.where(entity.at).line;
    const { handle } = entity;
    const id =
      handle === undefined || place.prefix === undefined
        ? `${element}-${this.shapes.length + 1}`
        : `entity-${place.prefix}${handle}`;
    this.shapes.push({
      id: this.uniqueName(id),
      named: false,
      ...homeOf(name, place),
      element,
      paths,
      stroke: this.strokeOf(entity, layer, place),
      ...(line === undefined ? {} : { line }),
    });
  }

  private guard<T>(entity: CurveEntity, work: () => T): T {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof PlacingFault)) throw error;
      throw fault(this.tags, `${error.found} in ${entity.type}`, error.expected, error.next, entity.at);
    }
  }

  private insert(entity: InsertEntity, place: Place): void {
    const layer = layerOf(entity, place);
    const properties = this.layer(layer);
    if (properties?.frozen) {
      this.note(entity, `its layer ${excerpt(layer)} is frozen`);
      return;
    }
    const block = this.file.blocks.get(entity.block.toUpperCase());
    if (block === undefined || block.external) {
      const name = excerpt(entity.block);
      this.note(
        entity,
        block ? `its block ${name} is in another file` : `its block ${name} is not in the file`,
      );
      return;
    }
    this.refuseLoop(entity, block.name, place);
    if (place.parent === undefined) {
      this.foreseen += this.size(entity);
      if (this.foreseen > mostInstances) throw this.tooMany(entity);
    }
    const matrix = facedMatrix(place.matrix, entity.facing);
    if (matrix === undefined) {
      this.note(entity, tilted);
      return;
    }
    const { insertion, scale } = entity;
    const turned = compose(matrix, compose(translation(insertion.x, insertion.y), rotation(entity.rotation)));
    const scaled = compose(scaling(scale[0], scale[1]), translation(-block.base.x, -block.base.y));
    if (determinant(scaled) === 0) {
      this.note(entity, 'its scale flattens it to nothing');
      return;
    }
    const inner: Omit<Place, 'matrix' | 'homes'> = {
      blocks: [block.name, ...place.blocks],
      layer,
      stroke: this.strokeOf(entity, layer, place),
      prefix:
        entity.handle === undefined || place.prefix === undefined
          ? undefined
          : `${place.prefix}${entity.handle}.`,
      parent: place,
    };
    for (const shift of this.cells(entity)) {
      const cell = compose(turned, compose(translation(shift.x, shift.y), scaled));
      this.draw(block.entities, { ...inner, matrix: cell, homes: new Map() });
    }
  }

  /** The places of an array, along the turned axes; copies that would lie on each other are drawn once. */
  private *cells(entity: InsertEntity): Generator<Point> {
    const [dx, dy] = entity.spacing;
    const columns = dx === 0 ? 1 : entity.columns;
    const rows = dy === 0 ? 1 : entity.rows;
    if (columns < entity.columns || rows < entity.rows) {
      const why = 'its spacing is 0, so all copies lie in one place: one is taken';
      this.leftOut.note('copies of an INSERT', this.tags.place(entity.at), why);
    }
    for (let row = 0; row < rows; row += 1) {
      for (let column = 0; column < columns; column += 1) yield { x: column * dx, y: row * dy };
    }
  }

  private refuseLoop(entity: InsertEntity, name: string, place: Place): void {
    if (place.blocks.includes(name)) {
      const around = place.blocks.slice(0, place.blocks.indexOf(name) + 1).reverse();
      const chain = [...around, name].map(excerpt).join(' > ');
      throw this.refusal(entity, `a block that holds itself: ${chain}`, 'blocks without a loop');
    }
    if (place.blocks.length >= deepestBlocks) {
      const found = `blocks nested more than ${deepestBlocks} deep`;
      throw this.refusal(entity, found, `at most ${deepestBlocks} blocks within each other`);
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

  private layer(name: string): DxfLayer | undefined {
    return this.file.layers.get(name.toUpperCase());
  }

  /** `#rrggbb` for a true colour, otherwise `aci:` and the number of the colour index. */
  private strokeOf(entity: CurveEntity | InsertEntity, layer: string, place: Place): string {
    if (entity.trueColour !== undefined) return trueColour(entity.trueColour);
    if (entity.colour === byBlock) return place.stroke;
    if (entity.colour > byBlock && entity.colour < byLayer) return `aci:${entity.colour}`;
    const properties = this.layer(layer);
    if (properties?.trueColour !== undefined) return trueColour(properties.trueColour);
    return `aci:${properties?.colour ?? 7}`;
  }
}

const layerOf = (entity: CurveEntity | InsertEntity, place: Place): string =>
  entity.layer === layerZero ? (place.layer ?? layerZero) : entity.layer;

const trueColour = (value: number): string => `#${(value & 0xffffff).toString(16).padStart(6, '0')}`;

/** An insert encloses its shapes and lies itself in the layer, as if drawn there: the parts of one mark stay together. */
const homeOf = (layer: string, place: Place): Home => {
  const known = place.homes.get(layer);
  if (known !== undefined) return known;
  const { parent, blocks } = place;
  const group: Group =
    parent === undefined ? { names: [layer] } : { names: [blocks[0]!], parent: homeOf(layer, parent).group };
  const home: Home = { group, layers: [layer, ...blocks.filter((block) => block !== layer)] };
  place.homes.set(layer, home);
  return home;
};
