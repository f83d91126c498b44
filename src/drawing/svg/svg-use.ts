/**
 * What `use` elements show: the elements they refer to, kept while the file goes by, drawn again in
 * each place.
 */

import { compose, translation } from '../../geometry/affine.js';
import { limits } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import { layersInside, layersOf } from '../model/layer-names.js';
import { lengthOf } from './svg-lengths.js';
import type { Frame } from './svg-viewport.js';
import { idOf, namesOf, placeOf, type UseDraft, type Walk } from './svg-walk.js';
import { deepestNesting, type XmlElement } from './xml/xml.js';

/** Elements drawn through `use` in one drawing, and segments they may come to. */
const mostInstances = limits.useElements.most;
const mostInstanceSegments = limits.useSegments.most;

export interface KeptElement {
  readonly element: XmlElement;
  readonly children: KeptElement[];
  /** Whether it has ended, and all that it shows through `use` elements had ended before them. */
  isWhole: boolean;
}

/** Keeps the elements with the ids that are wanted, with everything inside them. */
export class Keeper {
  readonly kept = new Map<string, KeptElement>();
  private readonly open: (KeptElement | undefined)[] = [];

  constructor(private readonly wanted: ReadonlySet<string>) {}

  enter(element: XmlElement): void {
    const parent = this.open.at(-1);
    const id = idOf(element);
    const isWanted = id !== undefined && this.wanted.has(id) && !this.kept.has(id);
    if (parent === undefined && !isWanted) {
      this.open.push(undefined);
      return;
    }
    const node: KeptElement = { element, children: [], isWhole: false };
    parent?.children.push(node);
    if (isWanted) this.kept.set(id, node);
    this.open.push(node);
  }

  leave(): void {
    const node = this.open.pop();
    if (node === undefined) return;
    const { element, children } = node;
    const isUse = element.isSvg && element.name === 'use';
    node.isWhole = children.every(({ isWhole }) => isWhole) && (!isUse || this.showsWhole(element));
  }

  /** Whether all that a `use` shows is known by now. */
  showsWhole(use: XmlElement): boolean {
    const target = targetOf(use);
    return target === undefined || this.kept.get(target)?.isWhole === true;
  }
}

/** The id a `use` refers to; undefined when it refers to another file or to nothing. */
export const targetOf = (element: XmlElement): string | undefined => {
  const { attributes } = element;
  let href = attributes.href;
  if (href === undefined) {
    for (const name in attributes) if (name.endsWith(':href')) href ??= attributes[name];
  }
  const target = href?.trim();
  return target?.startsWith('#') && target.length > 1 ? target.slice(1) : undefined;
};

/** Draws what `use` elements refer to. */
export class Instances {
  private drawn = 0;
  private segments = 0;

  constructor(
    private readonly walk: Walk,
    private readonly kept: ReadonlyMap<string, KeptElement>,
    private readonly file: string,
    private readonly guard: <T>(element: XmlElement, work: () => T) => T,
  ) {}

  /** Draws what a `use` of the file shows; the shapes are added to those of the walk, in order. */
  expand(use: UseDraft): void {
    const { shapes } = this.walk;
    const first = shapes.count;
    this.expandInto(use, [], 0);
    const id = idOf(use.element);
    // An instance of one shape is that shape, under the use's id; of several, the id is the name of
    // their group.
    const one = shapes.count === first + 1;
    for (let n = first; n < shapes.count; n += 1) shapes.setId(n, one ? id : undefined, false);
  }

  private expandInto(use: UseDraft, open: readonly KeptElement[], depth: number): void {
    const { element } = use;
    const target = targetOf(element);
    const node = target === undefined ? undefined : this.kept.get(target);
    if (node === undefined) {
      const why =
        target === undefined
          ? 'it refers to no element of this file'
          : `it refers to #${target.slice(0, 40)}, which is not in this file`;
      this.walk.leftOut.note('use', placeOf(element), why);
      return;
    }
    if (open.includes(node)) {
      throw this.refusal(element, `a use loop: #${target} shows itself`, 'use elements without a loop');
    }
    const { attributes } = element;
    const frame = this.guard(element, () => {
      const x = lengthOf(attributes, 'x', 'x', use.frame.viewport) ?? 0;
      const y = lengthOf(attributes, 'y', 'y', use.frame.viewport) ?? 0;
      // Selectors do not see past the use: what it shows is a tree of its own (SVG 2, section 5.5).
      return movedBy(use.frame, x, y);
    });
    this.draw(node, frame, [...open, node], depth + 1, element);
  }

  /** @param use what refers to it; undefined for what lies inside that */
  private draw(
    node: KeptElement,
    parent: Frame,
    open: readonly KeptElement[],
    depth: number,
    use?: XmlElement,
  ): void {
    const { element } = node;
    this.drawn += 1;
    if (this.drawn > mostInstances || this.segments > mostInstanceSegments) {
      throw this.refusal(
        element,
        `use elements that multiply to more than ${this.drawn > mostInstances ? `${mostInstances} elements` : `${mostInstanceSegments} segments`}`,
        `at most ${mostInstances} elements and ${mostInstanceSegments} segments drawn through use`,
      );
    }
    if (depth > deepestNesting) {
      throw this.refusal(
        element,
        `elements nested more than ${deepestNesting} deep through use`,
        `at most ${deepestNesting} levels`,
      );
    }
    const { walk } = this;
    const isWindow = element.isSvg && (element.name === 'symbol' || element.name === 'svg');
    const before = walk.uses;
    const first = walk.shapes.count;
    walk.uses = [];
    const inside = this.guard(element, () =>
      use !== undefined && isWindow
        ? walk.openInstance(element, parent, use.attributes)
        : walk.open(element, parent),
    );
    const { uses } = walk;
    walk.uses = before;
    for (const use of uses) this.expandInto(use, open, depth);
    if (uses.length === 0 && walk.shapes.count > first) {
      this.segments += walk.shapes.segmentsIn(first);
      if (use !== undefined) walk.shapes.setLabels(first, namesOf(element));
    }
    if (!inside.draws) return;
    const frame = use === undefined ? inside : mergedGroup(inside, parent, use);
    for (const child of node.children) this.draw(child, frame, open, depth + 1);
  }

  private refusal(element: XmlElement, found: string, expected: string): InputError {
    return new InputError({
      found,
      expected,
      where: { file: this.file, line: element.line, element: idOf(element) ?? element.name },
      next: 'Export the drawing with its instances (use elements) turned into plain shapes.',
    });
  }
}

/** Property by property: there may be a million of them. */
const movedBy = (frame: Frame, x: number, y: number): Frame => {
  const { visible, stroke, fill, fillSeen, color, viewport, group, layers, limit, draws, choice } = frame;
  const matrix = compose(frame.matrix, translation(x, y));
  const look = { visible, stroke, fill, fillSeen, color };
  return { ...look, matrix, viewport, group, layers, scope: undefined, limit, draws, choice };
};

/**
 * A `use` and the group it shows are one group, named by the use first: every instance has a name
 * of its own.
 * @param inside the frame inside what is shown
 * @param around the frame of the use
 */
const mergedGroup = (inside: Frame, around: Frame, use: XmlElement): Frame => {
  const [shown, outer] = [inside.group, around.group];
  const bothAreNamed = namesOf(use).length > 0 && shown !== outer;
  if (!bothAreNamed || shown === undefined || outer === undefined) return inside;
  const names = [...new Set([...outer.names, ...shown.names])];
  const { parent } = outer;
  return { ...inside, group: { names, parent }, layers: layersInside(names, layersOf(parent)) };
};
