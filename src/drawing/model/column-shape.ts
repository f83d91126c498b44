/** Shapes that stand in columns: a drawing may have a million of them. */
import type { Path } from '../../geometry/curve.js';
import type { Group, Shape } from './drawing.js';

/**
 * A shape that looks up what it is asked for. What it says is no property of its own: to change
 * one, take `changedShape`. What is made for a passing look is not kept, for there may be very many
 * to look at.
 */
export abstract class ColumnShape implements Shape {
  private known: readonly Path[] | undefined;

  abstract readonly id: string;
  abstract readonly named: boolean;
  abstract readonly layers: readonly string[];
  abstract readonly labels: readonly string[] | undefined;
  abstract readonly group: Group | undefined;
  abstract readonly element: string;
  abstract readonly stroke: string | undefined;
  abstract readonly fill: string | undefined;
  abstract readonly filled: Shape['filled'];
  abstract readonly line: number | undefined;
  abstract readonly pathCount: number;
  /** Whether it bears no names but made-up ids, its own and those of what went into it. */
  abstract readonly isPlain: boolean;

  abstract hasId(name: string): boolean;

  abstract hasLabel(name: string): boolean;

  /** Its labels; one may come twice. */
  abstract labelsNow(): Iterable<string>;

  abstract isClosedAt(place: number): boolean;

  /** One of its paths, made anew. */
  abstract pathAt(place: number): Path;

  get paths(): readonly Path[] {
    this.known ??= this.pathsNow();
    return this.known;
  }

  /** The paths, made anew unless they have been asked for before. */
  pathsNow(): readonly Path[] {
    if (this.known !== undefined) return this.known;
    const paths: Path[] = [];
    for (let place = 0; place < this.pathCount; place += 1) paths.push(this.pathAt(place));
    return paths;
  }

  /** The shapes whose lines went into it, beside the one whose name it bears. */
  further(): Iterable<Shape> {
    return [];
  }

  /** How many of its paths are closed. */
  closedCount(): number {
    let count = 0;
    for (let place = 0; place < this.pathCount; place += 1) if (this.isClosedAt(place)) count += 1;
    return count;
  }
}
