/** What the content of a block takes from around it, which is the same in thousands of places. */

import type { Matrix } from '../../../geometry/affine.js';
import type { Group } from '../../model/drawing.js';
import type { DxfEntity } from '../entities.js';
import type { DxfBlock, EntityList } from '../entity-list.js';

/** What is said of a curve beside its form. */
export interface Look {
  /** Why it is not seen; undefined where it is. */
  readonly unseen: string | undefined;
  readonly element: string;
  /** The name of its layer, as the file's table has it. */
  readonly layer: string;
  readonly layers: readonly string[];
  readonly stroke: string;
}

/** An entity of a block that is drawn again and again, and what follows for it from the setting. */
export interface Item {
  readonly entity: DxfEntity;
  /** Of a curve that is drawn. */
  readonly look: Look | undefined;
  /** Of an insert that is drawn; otherwise why it is not. */
  readonly inside: Setting | string | undefined;
}

/**
 * A block in one surrounding, or the model space: wherever it is drawn in it, all but the form is
 * the same.
 */
export class Setting {
  /** How often it was drawn. */
  drawn = 0;
  /** The entities, once it is known that they are drawn more than once. */
  items: readonly Item[] | undefined;
  /** The names of each group that it makes. */
  readonly names: readonly string[];
  private readonly layers = new Map<string, readonly string[]>();
  private settings: Map<DxfBlock, Map<string, Map<string, Setting>>> | undefined;

  constructor(
    readonly entities: EntityList,
    /** Names of the blocks around, innermost first. */
    readonly blocks: readonly string[],
    /** What an entity of layer 0 takes over; undefined in the model space. */
    readonly layer: string | undefined,
    /** What an entity coloured by block takes over. */
    readonly stroke: string,
  ) {
    this.names = blocks.slice(0, 1);
  }

  /** The layers of a shape, by its own layer. */
  layersOf(layer: string): readonly string[] {
    let names = this.layers.get(layer);
    if (names === undefined) {
      names = [layer, ...this.blocks.filter((block) => block !== layer)];
      this.layers.set(layer, names);
    }
    return names;
  }

  /** The setting of a block in this one, where it is known. */
  known(block: DxfBlock, layer: string, stroke: string): Setting | undefined {
    return this.settings?.get(block)?.get(layer)?.get(stroke);
  }

  keep(block: DxfBlock, layer: string, stroke: string, setting: Setting): void {
    this.settings ??= new Map();
    const ofBlock = this.settings.get(block) ?? new Map<string, Map<string, Setting>>();
    this.settings.set(block, ofBlock);
    const ofLayer = ofBlock.get(layer) ?? new Map<string, Setting>();
    ofBlock.set(layer, ofLayer);
    ofLayer.set(stroke, setting);
  }
}

/** One place in which a setting is drawn; the model space is the outermost one. */
export class Place {
  private layer: string | undefined;
  private group: Group | undefined;
  /** The groups of further layers. */
  private groups: Map<string, Group> | undefined;

  constructor(
    /** Coordinates of the entities to the design frame. */
    readonly matrix: Matrix,
    readonly setting: Setting,
    /** Handles of the inserts around; undefined where one of them has none. */
    readonly prefix: string | undefined,
    readonly parent: Place | undefined,
  ) {}

  /**
   * An insert encloses its shapes and lies itself in the layer, as if drawn there: the parts of one
   * mark stay together.
   */
  groupOf(layer: string): Group {
    if (layer === this.layer) return this.group!;
    const known = this.groups?.get(layer);
    if (known !== undefined) return known;
    const { parent, setting } = this;
    const group: Group =
      parent === undefined ? { names: [layer] } : { names: setting.names, parent: parent.groupOf(layer) };
    if (this.layer === undefined) {
      this.layer = layer;
      this.group = group;
    } else {
      this.groups ??= new Map();
      this.groups.set(layer, group);
    }
    return group;
  }
}
