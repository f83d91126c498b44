/** The role of each shape of a list: by its place, and by its id for whoever asks for that. */
import type { Role, Shape } from '../model/drawing.js';

const roles: readonly Role[] = ['unused', 'mark', 'opening', 'outline'];
const numbers: Readonly<Record<Role, number>> = { unused: 0, mark: 1, opening: 2, outline: 3 };

/**
 * A map from ids to roles; of a million shapes it is made only when it is asked by id. All are
 * unused until something else is said.
 */
export class ShapeRoles implements ReadonlyMap<string, Role> {
  private readonly byPlace: Uint8Array;
  private known: ReadonlyMap<string, Role> | undefined;

  /** @param shapes no two of the same id */
  constructor(readonly shapes: readonly Shape[]) {
    this.byPlace = new Uint8Array(shapes.length);
  }

  /** For who makes the list: nothing may have been asked of it yet. */
  set(place: number, role: Role): void {
    this.byPlace[place] = numbers[role];
  }

  /** The role of the shape in this place of the list. */
  at(place: number): Role {
    return roles[this.byPlace[place]!]!;
  }

  /** How many shapes have a role. */
  count(role: Role): number {
    const wanted = numbers[role];
    let count = 0;
    for (const one of this.byPlace) if (one === wanted) count += 1;
    return count;
  }

  /** The places of the shapes that have a role, one after another. */
  *places(role: Role): Generator<number> {
    const { byPlace } = this;
    const wanted = numbers[role];
    for (let i = byPlace.indexOf(wanted); i >= 0; i = byPlace.indexOf(wanted, i + 1)) yield i;
  }

  /** The shapes that have a role, one after another. */
  *each(role: Role): Generator<Shape> {
    for (const place of this.places(role)) yield this.shapes[place]!;
  }

  /** All shapes that have a role. */
  having(role: Role): readonly Shape[] {
    return this.count(role) === this.size ? this.shapes : [...this.each(role)];
  }

  /** Whether another list has the same shapes in the same roles. */
  equals(other: ShapeRoles): boolean {
    if (this.size !== other.size) return false;
    for (let i = 0; i < this.size; i += 1) if (this.byPlace[i] !== other.byPlace[i]) return false;
    if (this.shapes === other.shapes) return true;
    return this.shapes.every((shape, i) => {
      const twin = other.shapes[i]!;
      return shape === twin || shape.id === twin.id;
    });
  }

  /** Whether the same places of another list, which is as long, have a role. */
  agrees(other: ShapeRoles, role: Role): boolean {
    const wanted = numbers[role];
    return this.byPlace.every((one, i) => (one === wanted) === (other.byPlace[i] === wanted));
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

/** Roles that a shape must not be given, by the place of the shape; most drawings have none. */
export class RefusedRoles {
  private byPlace: Uint8Array | undefined;

  /** @param shapes how many there are */
  constructor(private readonly shapes: number) {}

  get areNone(): boolean {
    return this.byPlace === undefined;
  }

  refuse(place: number, role: Role): void {
    this.byPlace ??= new Uint8Array(this.shapes);
    this.byPlace[place] = this.byPlace[place]! | (1 << numbers[role]);
  }

  mayBe(place: number, role: Role): boolean {
    return this.byPlace === undefined || (this.byPlace[place]! & (1 << numbers[role])) === 0;
  }
}
