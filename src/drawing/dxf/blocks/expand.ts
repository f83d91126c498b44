/**
 * From the entities of a file to the shapes of a drawing: blocks drawn in each place, layers,
 * visibility, colours, names.
 */

import {
  compose,
  determinant,
  type Matrix,
  rotation,
  scaling,
  translation,
} from '../../../geometry/affine.js';
import { limits } from '../../../job/bounds.js';
import type { LeftOutList } from '../../model/left-out.js';
import { ShapeStore } from '../../model/shape-store.js';
import { uniqueNames } from '../../write/cut-file.js';
import { indexedColour } from '../colour-index.js';
import { DrawnCover } from '../drawn-cover.js';
import type { CurveEntity, DxfEntity, InsertEntity } from '../entities.js';
import type { DxfBlock, DxfFile, DxfLayer } from '../entity-list.js';
import type { Properties } from '../properties.js';
import { hatchType } from '../read-hatch.js';
import { notesLayer } from '../tags/structure.js';
import { excerpt, fault, type Tags } from '../tags/tags.js';
import { instanceSizes, mostInstances } from './instance-sizes.js';
import { facedMatrix, type Placed, PlacingFault, placeEntity, tilted } from './place-entity.js';
import { PlainPlacer } from './place-plain.js';
import { type Item, type Look, Place, Setting } from './setting.js';

/** Segments of the shapes that blocks add to one drawing. */
const mostInstanceSegments = limits.blockSegments.most;
/** What an entity that is not plain costs beyond its segments, in segments. */
const closeLook = 4;
/** Blocks within blocks. */
const deepestBlocks = limits.blockNesting.most;
/** Settings that are kept for blocks drawn again, and entities that are kept in them. */
const mostSettings = 20_000;
const mostItems = 100_000;

const layerZero = '0';
const byBlock = 0;
const byLayer = 256;

/** @param scale from the model space to the design frame */
export const expandDxf = (file: DxfFile, tags: Tags, scale: Matrix, leftOut: LeftOutList): ShapeStore => {
  const expansion = new Expansion(file, tags, leftOut);
  // Black on white and white on black.
  const model = new Setting(file.entities, [], undefined, indexedColour(7));
  expansion.draw(new Place(scale, model, '', undefined));
  expansion.drawHatches();
  return expansion.shapes;
};

class Expansion {
  readonly shapes = new ShapeStore();
  private readonly placer = new PlainPlacer(this.shapes.curves);
  private readonly uniqueName = uniqueNames();
  private readonly layers = new Map<string, DxfLayer | undefined>();
  private readonly blocks = new Map<string, DxfBlock | undefined>();
  private readonly size: (insert: InsertEntity) => number;
  private readonly mostInstances: number;
  /** They wait until everything else is drawn. */
  private readonly hatches: { entity: CurveEntity; look: Look; place: Place }[] = [];
  private foreseen = 0;
  private instanceSegments = 0;
  private settings = 0;
  private items = 0;
  /** What the last entity that was looked at comes to: most are like the one before them. */
  private lastCurve: { of: Properties; in: Setting; look: Look } | undefined;
  private lastInsert: { of: InsertEntity; in: Setting; inside: Setting | string } | undefined;

  constructor(
    private readonly file: DxfFile,
    private readonly tags: Tags,
    private readonly leftOut: LeftOutList,
  ) {
    this.size = instanceSizes((name) => this.block(name));
    this.mostInstances = mostInstances(file.entities.size);
  }

  draw(place: Place): void {
    const { setting } = place;
    if (setting.drawn === 1 && this.items + setting.entities.size <= mostItems) this.keepItems(setting);
    setting.drawn += 1;
    if (setting.items === undefined) {
      for (const entity of setting.entities) this.drawEntity(entity, undefined, place);
    } else {
      for (const item of setting.items) this.drawEntity(item.entity, item, place);
    }
  }

  private keepItems(setting: Setting): void {
    const items: Item[] = [];
    for (const entity of setting.entities) {
      const isDrawn = entity.kind !== 'left-out' && hiddenBy(entity.properties) === undefined;
      items.push({
        entity,
        look: isDrawn && entity.kind !== 'insert' ? this.lookOf(entity.properties, setting) : undefined,
        inside: isDrawn && entity.kind === 'insert' ? this.insideOf(entity, setting) : undefined,
      });
    }
    this.items += items.length;
    setting.items = items;
  }

  private drawEntity(entity: DxfEntity, item: Item | undefined, place: Place): void {
    if (entity.kind === 'left-out') {
      this.note(entity, entity.why);
      return;
    }
    const why = hiddenBy(entity.properties);
    if (why !== undefined) this.note(entity.properties, why);
    else if (entity.kind === 'insert') {
      this.insert(entity, item?.inside ?? this.insideOf(entity, place.setting), place);
    } else this.drawCurve(entity, item?.look ?? this.lookOf(entity.properties, place.setting), place);
  }

  private note(entity: { readonly type: string; readonly at: number }, why: string): void {
    this.leftOut.note(excerpt(entity.type), this.tags.place(entity.at), why);
  }

  private lookOf(own: Properties, setting: Setting): Look {
    const last = this.lastCurve;
    if (last !== undefined && last.in === setting && last.of.type === own.type && isAlike(last.of, own)) {
      return last.look;
    }
    const layer = layerOf(own, setting);
    const properties = this.layer(layer);
    const name = properties?.name ?? layer;
    const look: Look = {
      unseen: unseenBy(layer, properties),
      element: own.type.toLowerCase(),
      layer: name,
      layers: setting.layersOf(name),
      stroke: this.strokeOf(own, layer, setting),
    };
    this.lastCurve = { of: own, in: setting, look };
    return look;
  }

  /** Boundaries of filled areas, where nothing else draws them. */
  drawHatches(): void {
    if (this.hatches.length === 0) return;
    const boundaries = this.hatches.map(({ entity, place }) => this.placed(entity, place.matrix).paths);
    const drawn = new DrawnCover(this.shapes.curves, boundaries.flat());
    for (const [i, { entity, look, place }] of this.hatches.entries()) {
      const paths = boundaries[i]!;
      if (paths.length > 0 && paths.every((path) => drawn.covers(path))) {
        const why = 'it fills an area whose boundary is drawn as well';
        this.leftOut.noteHarmless(hatchType, this.tags.place(entity.properties.at), why);
      } else this.drawSeen(entity, look, place);
    }
  }

  private drawCurve(entity: CurveEntity, look: Look, place: Place): void {
    const { properties } = entity;
    if (look.unseen !== undefined) this.note(properties, look.unseen);
    else if (properties.type === hatchType) this.hatches.push({ entity, look, place });
    else this.drawSeen(entity, look, place);
  }

  private drawSeen(entity: CurveEntity, look: Look, place: Place): void {
    const { properties } = entity;
    const { curves } = this.shapes;
    const first = curves.count;
    const isPlain = this.placer.place(entity, place.matrix);
    if (!isPlain) {
      const { paths, why, note } = this.placed(entity, place.matrix);
      if (note !== undefined) this.leftOut.note(note.what, this.tags.place(properties.at), note.why);
      if (why !== undefined) {
        this.note(properties, why);
        return;
      }
      for (const path of paths) curves.keepPath(path);
    }
    if (place.parent !== undefined) {
      for (let i = first; i < curves.count; i += 1) this.instanceSegments += curves.sizeOf(i);
      if (!isPlain) this.instanceSegments += closeLook;
      if (this.instanceSegments > mostInstanceSegments) {
        throw this.tooMany(properties, `${mostInstanceSegments} segments`);
      }
    }
    const { handle } = properties;
    // Without a handle it is named by kind and number.
    const isNumbered = handle === undefined || place.prefix === undefined;
    this.shapes.add({
      id: isNumbered ? undefined : this.uniqueName(`entity-${place.prefix}${handle}`),
      labels: undefined,
      element: look.element,
      layers: look.layers,
      group: place.groupOf(look.layer),
      stroke: look.stroke,
      line: this.tags.where(properties.at).line,
    });
  }

  private placed(entity: CurveEntity, matrix: Matrix): Placed {
    try {
      return placeEntity(entity, matrix);
    } catch (error) {
      if (!(error instanceof PlacingFault)) throw error;
      const { type, at } = entity.properties;
      throw fault(this.tags, `${error.found} in ${type}`, error.expected, error.next, at);
    }
  }

  /** The setting that an insert draws, or why it draws nothing. */
  private insideOf(entity: InsertEntity, setting: Setting): Setting | string {
    const last = this.lastInsert;
    const isLast = last !== undefined && last.in === setting && last.of.block === entity.block;
    if (isLast && isAlike(last.of.properties, entity.properties)) return last.inside;
    const inside = this.newlyInside(entity, setting);
    this.lastInsert = { of: entity, in: setting, inside };
    return inside;
  }

  private newlyInside(entity: InsertEntity, setting: Setting): Setting | string {
    const layer = layerOf(entity.properties, setting);
    if (this.layer(layer)?.frozen) return `its layer ${excerpt(layer)} is frozen`;
    const block = this.block(entity.block);
    if (block === undefined) return `its block ${excerpt(entity.block)} is not in the file`;
    if (block.external) return `its block ${excerpt(entity.block)} is in another file`;
    const stroke = this.strokeOf(entity.properties, layer, setting);
    const known = setting.known(block, layer, stroke);
    if (known !== undefined) return known;
    this.refuseLoop(entity, block.name, setting);
    const inside = new Setting(block.entities, [block.name, ...setting.blocks], layer, stroke);
    if (this.settings < mostSettings) {
      setting.keep(block, layer, stroke, inside);
      this.settings += 1;
    }
    return inside;
  }

  private insert(entity: InsertEntity, inside: Setting | string, place: Place): void {
    if (typeof inside === 'string') {
      this.note(entity.properties, inside);
      return;
    }
    if (place.parent === undefined) {
      this.foreseen += this.size(entity);
      if (this.foreseen > this.mostInstances) {
        throw this.tooMany(entity.properties, `${this.mostInstances} entities`);
      }
    }
    const matrix = facedMatrix(place.matrix, entity.facing);
    if (matrix === undefined) {
      this.note(entity.properties, tilted);
      return;
    }
    const { insertion, scale } = entity;
    const { base } = this.block(entity.block)!;
    const { handle } = entity.properties;
    const turned = compose(matrix, compose(translation(insertion.x, insertion.y), rotation(entity.rotation)));
    const scaled = compose(scaling(scale[0], scale[1]), translation(-base.x, -base.y));
    if (determinant(scaled) === 0) {
      this.note(entity.properties, 'its scale flattens it to nothing');
      return;
    }
    const prefix =
      handle === undefined || place.prefix === undefined ? undefined : `${place.prefix}${handle}.`;
    // Along the turned axes; copies that would lie on each other are drawn once.
    const [dx, dy] = entity.spacing;
    const columns = dx === 0 ? 1 : entity.columns;
    const rows = dy === 0 ? 1 : entity.rows;
    // The limit counts what is drawn, so an empty block passes it however often it is repeated.
    if (this.size(entity) === 1) {
      this.draw(new Place(compose(turned, scaled), inside, prefix, place));
      return;
    }
    if (columns < entity.columns || rows < entity.rows) {
      const why = 'its spacing is 0, so all copies lie in one place: one is taken';
      this.leftOut.note('copies of an INSERT', this.tags.place(entity.properties.at), why);
    }
    for (let row = 0; row < rows; row += 1) {
      for (let column = 0; column < columns; column += 1) {
        const cell = compose(turned, compose(translation(column * dx, row * dy), scaled));
        this.draw(new Place(cell, inside, prefix, place));
      }
    }
  }

  private refuseLoop(entity: InsertEntity, name: string, { blocks }: Setting): void {
    if (blocks.includes(name)) {
      const around = blocks.slice(0, blocks.indexOf(name) + 1).reverse();
      const chain = [...around, name].map(excerpt).join(' > ');
      throw this.refusal(entity.properties, `a block that holds itself: ${chain}`, 'blocks without a loop');
    }
    if (blocks.length >= deepestBlocks) {
      const found = `blocks nested more than ${deepestBlocks} deep`;
      throw this.refusal(entity.properties, found, `at most ${deepestBlocks} blocks within each other`);
    }
  }

  private tooMany(entity: { readonly at: number }, most: string) {
    return this.refusal(
      entity,
      `blocks that multiply to more than ${most}`,
      `at most ${this.mostInstances} entities and ${mostInstanceSegments} segments drawn through INSERT; what is no plain line, arc or polyline counts as ${closeLook} segments more`,
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

  /** By the name as an insert spells it. */
  private block(name: string): DxfBlock | undefined {
    if (!this.blocks.has(name)) this.blocks.set(name, this.file.blocks.get(name.toUpperCase()));
    return this.blocks.get(name);
  }

  /** `#rrggbb` */
  private strokeOf(own: Properties, layer: string, setting: Setting): string {
    if (own.trueColour !== undefined) return trueColour(own.trueColour);
    if (own.colour === byBlock) return setting.stroke;
    if (own.colour > byBlock && own.colour < byLayer) return indexedColour(own.colour);
    const properties = this.layer(layer);
    if (properties?.trueColour !== undefined) return trueColour(properties.trueColour);
    return indexedColour(properties?.colour ?? 7);
  }
}

/** Why an entity of paper space is left out. */
export const onSheet = 'it lies on a sheet (paper space), not in the model';

/** Why an entity is not seen, wherever it lies. */
const hiddenBy = ({ invisible, paperSpace }: Properties): string | undefined => {
  if (invisible) return 'it is marked as invisible';
  return paperSpace ? onSheet : undefined;
};

const unseenBy = (layer: string, properties: DxfLayer | undefined): string | undefined => {
  if (properties?.frozen) return `its layer ${excerpt(layer)} is frozen`;
  if (properties?.off) return `its layer ${excerpt(layer)} is off`;
  const plotted = properties?.plotted ?? layer.toUpperCase() !== notesLayer;
  return plotted ? undefined : `its layer ${excerpt(layer)} is not plotted`;
};

const isAlike = (a: Properties, b: Properties): boolean =>
  a.layer === b.layer && a.colour === b.colour && a.trueColour === b.trueColour;

const layerOf = (own: Properties, setting: Setting): string =>
  own.layer === layerZero ? (setting.layer ?? layerZero) : own.layer;

const trueColour = (value: number): string => `#${(value & 0xffffff).toString(16).padStart(6, '0')}`;
