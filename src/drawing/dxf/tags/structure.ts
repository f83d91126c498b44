/** The sections of a DXF file, from its first tag to its last. */

import { type DxfBlock, type DxfFile, type DxfLayer, EntityList } from '../entity-list.js';
import { EntityReader } from '../read-entity.js';
import { DxfRecord, skipRecord } from './record.js';
import { cutOff, excerpt, fault, type Tags } from './tags.js';

const frozenFlag = 1;
/**
 * Where programs put the points that their dimensions hang on; it is never plotted. Common
 * practice, no source.
 */
export const notesLayer = 'DEFPOINTS';
/** Block content in another file, attached or overlaid. */
const externalFlags = 4 | 8;

/**
 * The whole file, in one pass.
 * @throws InputError for a file that is no DXF, is damaged, or ends before its EOF
 */
export const readStructure = (tags: Tags): DxfFile => new Structure(tags).read();

class Structure {
  private readonly record: DxfRecord;
  private readonly entityReader: EntityReader;
  private version: string | undefined;
  private codepage: string | undefined;
  private units: DxfFile['units'];
  private readonly corners = new Map<string, { x?: number; y?: number }>();
  private readonly layers = new Map<string, DxfLayer>();
  private readonly blocks = new Map<string, DxfBlock>();
  private readonly entities = new EntityList();
  private entitiesAt: number | undefined;

  constructor(private readonly tags: Tags) {
    this.record = new DxfRecord(tags);
    this.entityReader = new EntityReader(tags);
  }

  read(): DxfFile {
    const { tags } = this;
    if (!tags.next() || tags.code !== 0 || !tags.is('SECTION')) throw this.noDxf();
    let hasEnd = true;
    while (!tags.is('EOF')) {
      if (tags.is('SECTION')) this.readSection();
      // Some programs close their header early and go on with its variables: an ENDSEC too many
      // ends them.
      else if (!tags.is('ENDSEC')) throw this.outside();
      const code = tags.next() ? this.tags.code : undefined;
      if (code === undefined) {
        // What comes behind the entities is no edge.
        if (this.entitiesAt === undefined) throw cutOff(tags, 'EOF');
        hasEnd = false;
        break;
      }
      if (code === 9) this.readVariables();
      if (tags.code !== 0) throw this.outside();
    }
    return {
      units: this.units,
      extent: this.extent(),
      layers: this.layers,
      blocks: this.blocks,
      entities: this.entities,
      hasEnd,
      entitiesAt: this.entitiesAt ?? tags.at,
    };
  }

  /** To the next tag, which has to be there; its group code. */
  private step(before: string): number {
    if (!this.tags.next()) throw cutOff(this.tags, before);
    return this.tags.code;
  }

  private noDxf() {
    const found = 'a file that does not begin with a section of DXF';
    return fault(this.tags, found, 'the tag 0 SECTION at the top', 'Export the drawing as DXF.');
  }

  private outside() {
    const { tags } = this;
    const found = `group ${tags.code} with "${excerpt(tags.text())}" outside any section`;
    return fault(tags, found, 'SECTION or EOF');
  }

  /** From the tag SECTION to its ENDSEC. */
  private readSection(): void {
    const { tags } = this;
    this.step('the name of a section');
    if (tags.code !== 2)
      throw fault(tags, `a section without a name (group ${tags.code})`, 'its name (group 2)');
    const section = tags.text();
    if (section === 'ENTITIES') this.entitiesAt ??= tags.at;
    const end = `the end of the section ${excerpt(section)}`;
    let code = this.step(end);
    if (section === 'HEADER' && code === 9) code = this.readVariables();
    while (code !== 0) code = this.step(end);
    while (!this.atEnd(section)) {
      if (section === 'ENTITIES') this.entityReader.read(this.entities);
      else if (section === 'BLOCKS' && tags.is('BLOCK')) this.readBlock();
      else if (section === 'TABLES' && tags.is('LAYER')) this.readLayer();
      else skipRecord(tags);
    }
  }

  /** Whether the tag at hand, which has group 0, ends the section. */
  private atEnd(section: string): boolean {
    const { tags } = this;
    if (tags.is('ENDSEC')) return true;
    if (tags.is('SECTION') || tags.is('EOF')) {
      const found = `${tags.text()} within the section ${excerpt(section)}`;
      throw fault(tags, found, 'the ENDSEC of the section before it');
    }
    return false;
  }

  /** Variables of the header, from the tag at hand to the next one with group 0. */
  private readVariables(): number {
    const { tags } = this;
    let name = '';
    let { code } = tags;
    while (code !== 0) {
      if (code === 9) name = tags.text();
      else if (name === '$ACADVER') this.version = tags.text();
      else if (name === '$DWGCODEPAGE') this.codepage = tags.text();
      else if (name === '$INSUNITS' && code === 70) this.units = { code: tags.number(), at: tags.at };
      else if (name === '$EXTMIN' || name === '$EXTMAX') this.readCorner(name);
      code = this.step('the end of the header');
    }
    tags.setEncoding(this.version, this.codepage);
    return code;
  }

  private readCorner(name: string): void {
    const { tags } = this;
    const corner = this.corners.get(name) ?? {};
    this.corners.set(name, corner);
    if (tags.code === 10) corner.x = tags.number();
    if (tags.code === 20) corner.y = tags.number();
  }

  /** Programs that have not worked it out write an extent turned inside out. */
  private extent(): DxfFile['extent'] {
    const low = this.corners.get('$EXTMIN');
    const high = this.corners.get('$EXTMAX');
    const width = (high?.x ?? Number.NaN) - (low?.x ?? Number.NaN);
    const height = (high?.y ?? Number.NaN) - (low?.y ?? Number.NaN);
    return width > 0 && height > 0 ? { width, height } : undefined;
  }

  private readLayer(): void {
    const record = this.record.read();
    const name = record.name ?? '';
    const colour = record.first(62) ?? 7;
    this.layers.set(name.toUpperCase(), {
      name,
      frozen: (record.whole(70, 0) & frozenFlag) !== 0,
      off: colour < 0,
      plotted: record.first(290) !== 0 && name.toUpperCase() !== notesLayer,
      colour: Math.abs(colour),
      trueColour: record.first(420),
    });
  }

  private readBlock(): void {
    const { tags } = this;
    const record = this.record.read();
    const name = record.name ?? '';
    const key = name.toUpperCase();
    if (this.blocks.has(key)) {
      throw record.fault(`a second block "${excerpt(name)}"`, 'a name of its own for each block');
    }
    const block: DxfBlock = {
      name,
      base: { x: record.first(10) ?? 0, y: record.first(20) ?? 0, z: record.first(30) ?? 0 },
      external: (record.whole(70, 0) & externalFlags) !== 0,
      entities: new EntityList(),
    };
    while (!tags.is('ENDBLK')) {
      if (this.atEnd('BLOCKS') || tags.is('BLOCK')) {
        const found = `${tags.text()} before the end of the block "${excerpt(name)}"`;
        throw fault(tags, found, 'the ENDBLK of the block');
      }
      this.entityReader.read(block.entities);
    }
    skipRecord(tags);
    this.blocks.set(key, block);
    const space = /^[*$](MODEL|PAPER)_SPACE/.exec(key)?.[1];
    if (space === undefined) return;
    // The sheets that are not in front keep their entities in their block; some programs do so with
    // the model as well.
    for (const entity of block.entities) {
      const onSheet = space === 'PAPER' && entity.kind !== 'left-out';
      this.entities.push(
        onSheet ? { ...entity, properties: { ...entity.properties, paperSpace: true } } : entity,
      );
    }
  }
}
