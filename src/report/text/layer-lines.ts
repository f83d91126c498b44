/** What each layer holds of the shapes of a role, in each colour. */
import { rowAt, type ShapeRow } from '../../drawing/describe.js';
import type { Role } from '../../drawing/model/drawing.js';
import { isAllClosed } from '../../drawing/model/shape-store.js';
import type { RoleAssignment } from '../../drawing/roles/roles.js';

export interface LayerLine {
  /** The first of its shapes. */
  readonly first: ShapeRow;
  readonly closed: number;
  readonly open: number;
}

/**
 * A line for each layer, role and colour. A drawing may have as many layers as shapes, so they
 * stand in columns.
 */
export class LayerLines {
  /** Places of the first shapes. */
  private readonly firsts: number[] = [];
  private readonly closed: number[] = [];
  private readonly open: number[] = [];

  constructor(private readonly assignment: RoleAssignment) {}

  get count(): number {
    return this.firsts.length;
  }

  /** Adds the shapes of a role; its lines come behind those there are. */
  add(role: Role): void {
    /** By colour, of which there are few, then by layer. */
    const known = new Map<string | undefined, Map<string | undefined, number>>();
    const { roles, shapes } = this.assignment;
    let layers: readonly string[] | undefined;
    let stroke: string | undefined;
    let line = 0;
    for (const place of roles.places(role)) {
      const shape = shapes[place]!;
      // Most shapes lie in the layers of the one before them.
      if (shape.layers !== layers || shape.stroke !== stroke) {
        ({ layers, stroke } = shape);
        line = this.lineOf(place, known);
      }
      const column = isAllClosed(shape) ? this.closed : this.open;
      column[line] = column[line]! + 1;
    }
  }

  private lineOf(place: number, known: Map<string | undefined, Map<string | undefined, number>>): number {
    const { layerSeen: layer, stroke } = rowAt(this.assignment, place);
    let inColour = known.get(stroke);
    if (inColour === undefined) {
      inColour = new Map();
      known.set(stroke, inColour);
    }
    let line = inColour.get(layer);
    if (line === undefined) {
      line = this.firsts.push(place) - 1;
      this.closed.push(0);
      this.open.push(0);
      inColour.set(layer, line);
    }
    return line;
  }

  /** The lines with the most shapes, of equal ones the first, without sorting all of them. */
  largest(most: number): LayerLine[] {
    const largest: number[] = [];
    for (let line = 0; line < this.count; line += 1) {
      const size = this.sizeOf(line);
      if (largest.length === most && this.sizeOf(largest[most - 1]!) >= size) continue;
      let at = largest.length;
      while (at > 0 && this.sizeOf(largest[at - 1]!) < size) at -= 1;
      largest.splice(at, 0, line);
      if (largest.length > most) largest.pop();
    }
    return largest.map((line) => ({
      first: rowAt(this.assignment, this.firsts[line]!),
      closed: this.closed[line]!,
      open: this.open[line]!,
    }));
  }

  private sizeOf(line: number): number {
    return this.closed[line]! + this.open[line]!;
  }
}
