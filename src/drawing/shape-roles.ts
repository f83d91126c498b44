/** The role of each shape of a list: by its place, and by its id for whoever asks for that. */
import type { Role, Shape } from './drawing.js';

const roles: readonly Role[] = ['unused', 'mark', 'opening', 'outline'];
const numbers: Readonly<Record<Role, number>> = { unused: 0, mark: 1, opening: 2, outline: 3 };

/** A map from ids to roles; of a million shapes it is made only when it is asked by id. */
export class ShapeRoles implements ReadonlyMap<string, Role> {
  private readonly byPlace: Uint8Array;
  private known: ReadonlyMap<string, Role> | undefined;

  /** @param shapes no two of the same id */
  constructor(
    readonly shapes: readonly Shape[],
    roleOf: (shape: Shape, place: number) => Role,
  ) {
    this.byPlace = new Uint8Array(shapes.length);
    for (let i = 0; i < shapes.length; i += 1) this.byPlace[i] = numbers[roleOf(shapes[i]!, i)];
  }

  /** The role of the shape in this place of the list. */
  at(place: number): Role {
    return roles[this.byPlace[place]!]!;
  }

  /** The shapes that have a role. */
  having(role: Role): Shape[] {
    const { byPlace, shapes } = this;
    const wanted = numbers[role];
    const found: Shape[] = [];
    for (let i = 0; i < shapes.length; i += 1) if (byPlace[i] === wanted) found.push(shapes[i]!);
    return found;
  }

  /** Whether another list has the same shapes in the same roles. */
  equals(other: ShapeRoles): boolean {
    if (this.size !== other.size) return false;
    for (let i = 0; i < this.size; i += 1) {
      const [one, twin] = [this.shapes[i]!, other.shapes[i]!];
      if (this.byPlace[i] !== other.byPlace[i] || (one !== twin && one.id !== twin.id)) return false;
    }
    return true;
  }

  get size(): number {
    return this.shapes.length;
  }

  get(id: string): Role | undefined {
    return this.map.get(id);
  }

  has(id: string): boolean {
    return this.map.has(id);
  }

  forEach(each: (role: Role, id: string, map: ReadonlyMap<string, Role>) => void): void {
    for (const [id, role] of this.map) each(role, id, this);
  }

  entries() {
    return this.map.entries();
  }

  keys() {
    return this.map.keys();
  }

  values() {
    return this.map.values();
  }

  [Symbol.iterator]() {
    return this.map.entries();
  }

  private get map(): ReadonlyMap<string, Role> {
    this.known ??= new Map(this.shapes.map(({ id }, i) => [id, this.at(i)]));
    return this.known;
  }
}
