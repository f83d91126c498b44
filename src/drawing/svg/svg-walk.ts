/** From elements to shapes: groups, transforms, visibility and names, one element at a time. */

import { compose, determinant, identity, type Matrix } from '../../geometry/affine.js';
import { type Box, emptyBox, joinBoxes } from '../../geometry/point.js';
import { layersInside } from '../model/layer-names.js';
import type { LeftOutList } from '../model/left-out.js';
import { PathBuilder } from '../model/path-builder.js';
import { ShapeStore } from '../model/shape-store.js';
import { millimetresIn } from '../model/units.js';
import type { Cascade } from './style/cascade.js';
import type { Style } from './style/declarations.js';
import { isGeometry, shapedAttributes } from './style/geometry.js';
import {
  filledBy,
  fillOf,
  type Inherited,
  inheritedBy,
  initial,
  isDisplayed,
  shapingProperties,
  strokeOf,
} from './style/properties.js';
import { type Scope, scopeOf } from './style/selector.js';
import {
  about,
  type ReferenceBox,
  referenceOf,
  styledTransform,
  transformOrigin,
} from './style/transform.js';
import { parseTransform } from './style/transform-attribute.js';
import {
  effectProperties,
  groupElements,
  isLabel,
  leftOutElements,
  silentElements,
  storeElements,
  traits,
} from './svg-elements.js';
import type { Attributes, Viewport } from './svg-lengths.js';
import { innerViewport, reachesBeyond } from './svg-nested.js';
import { type DrawShape, shapeElements } from './svg-shapes.js';
import type { Frame } from './svg-viewport.js';
import { AttributeFault } from './xml/attribute-fault.js';
import type { XmlElement } from './xml/xml.js';

/** A `use` element, met before it is known what it refers to. */
export interface UseDraft {
  readonly element: XmlElement;
  /** Its own frame: its transform, its names. */
  readonly frame: Frame;
  /** How many shapes there were before it. */
  readonly behind: number;
}

export class Walk {
  readonly shapes: ShapeStore;
  /** Of all shapes so far. */
  box: Box = emptyBox;
  uses: UseDraft[] = [];
  private readonly builder: PathBuilder;

  /** @param expected about how many shapes will come */
  constructor(
    /** Where is noted what is not taken over; another list while instances are drawn. */
    public leftOut: LeftOutList,
    private readonly cascade: Cascade,
    expected: number,
  ) {
    this.shapes = new ShapeStore(expected);
    this.builder = new PathBuilder(this.shapes.curves);
  }

  /**
   * The frame for what lies inside `element`, which itself lies in `parent`; shapes and uses are
   * added to `shapes` and `uses`.
   * @throws AttributeFault
   */
  open(element: XmlElement, parent: Frame): Frame {
    const { name } = element;
    const why = element.isSvg ? leftOutElements.get(name) : undefined;
    if (!parent.draws) {
      if (parent !== insideShape) return parent;
      if (why !== undefined) this.leftOut.note(name, placeOf(element), why);
      return silent;
    }
    if (!element.isSvg || silentElements.has(name)) return silent;
    if (storeElements.has(name) || !this.isChosen(element, parent)) return silent;
    if (why !== undefined) {
      this.leftOut.note(name, placeOf(element), why);
      return silent;
    }
    const scope = this.scopeIn(element, parent);
    const style = this.cascade.styleOf(element.attributes, scope);
    if (saysLook(element, style) && !isDisplayed(element.attributes, style)) {
      this.leftOut.noteHarmless('hidden element', placeOf(element), 'it is not displayed (display: none)');
      return silent;
    }
    this.noteEffects(element, style);
    const shape = shapeElements.get(name);
    if (shape !== undefined) {
      this.drawShape(element, style, parent, shape);
      return insideShape;
    }
    if (name === 'use') {
      refuseShapingStyle(style, (property) => property === 'transform');
      const frame = this.inner(element, style, parent, scope);
      this.uses.push({ element, frame, behind: this.shapes.count });
      return silent;
    }
    if (groupElements.has(name)) return this.inner(element, style, parent, scope);
    if (name === 'svg') return this.nested(element, style, parent, scope);
    this.leftOut.note(name, placeOf(element), 'this reader does not know the element');
    return silent;
  }

  /**
   * A symbol or nested svg as a `use` shows it.
   * @param sizes the width and height of the use, where it has them; they stand in for the
   * element's own
   */
  openInstance(
    element: XmlElement,
    parent: Frame,
    sizes: { readonly width?: string | undefined; readonly height?: string | undefined },
  ): Frame {
    const scope = this.scopeIn(element, parent);
    const style = this.cascade.styleOf(element.attributes, scope);
    if (!isDisplayed(element.attributes, style)) return silent;
    this.noteEffects(element, style);
    return this.nested(element, style, parent, scope, sizes);
  }

  private scopeIn(element: XmlElement, parent: Frame): Scope | undefined {
    return this.cascade.hasRules ? scopeOf(element, parent.scope) : undefined;
  }

  /** The frame inside a group-like element: its transform, names, visibility and stroke. */
  private inner(element: XmlElement, style: Style, parent: Frame, scope: Scope | undefined): Frame {
    const names = namesOf(element);
    const { visible, stroke, fill, fillSeen, color } = lookOf(element, style, parent);
    // Property by property: there may be a million groups, and spreading costs several times as
    // much.
    return {
      visible,
      stroke,
      fill,
      fillSeen,
      color,
      matrix: placedBy(element, style, parent),
      viewport: parent.viewport,
      group: names.length === 0 ? parent.group : { names, parent: parent.group },
      layers: layersInside(names, parent.layers),
      scope,
      limit: parent.limit,
      draws: true,
      choice: element.name === 'switch' ? { made: false } : undefined,
    };
  }

  private nested(
    element: XmlElement,
    style: Style,
    parent: Frame,
    scope: Scope | undefined,
    sizes: { readonly width?: string | undefined; readonly height?: string | undefined } = {},
  ): Frame {
    refuseShapingStyle(style);
    const frame = this.inner(element, style, parent, scope);
    const inside = innerViewport(element, style, frame, sizes);
    if (inside === undefined) {
      this.leftOut.noteHarmless(element.name, placeOf(element), 'its window has no width or no height');
      return silent;
    }
    if (element.attributes.refX !== undefined || element.attributes.refY !== undefined) {
      this.leftOut.note('refX and refY', placeOf(element), 'a symbol is placed by its x and y alone');
    }
    return { ...frame, ...inside };
  }

  private drawShape(element: XmlElement, style: Style, parent: Frame, draw: DrawShape): void {
    const { name, attributes } = element;
    const look = lookOf(element, style, parent);
    if (!look.visible) {
      this.leftOut.noteHarmless('hidden element', placeOf(element), 'it is not visible (visibility: hidden)');
      return;
    }
    refuseShapingStyle(style, (property) => property === 'transform' || isGeometry(name, property));
    const shaped = shapedAttributes(name, attributes, style, styledShape);
    const matrix = placedBy(element, style, parent, () => boxOf(draw, shaped, parent.viewport));
    if (determinant(matrix) === 0) {
      this.leftOut.noteHarmless(name, placeOf(element), 'its transform flattens it to nothing');
      return;
    }
    const { builder, shapes } = this;
    builder.begin(matrix);
    let nothing: string | undefined;
    try {
      nothing = draw(shaped, parent.viewport, builder);
    } catch (error) {
      throw styledFault(error, shaped, attributes);
    }
    builder.finish();
    if (nothing !== undefined) {
      this.leftOut.noteHarmless(name, placeOf(element), nothing);
      return;
    }
    if (builder.withoutLength > 0 || shapes.waiting === 0) {
      const part = shapes.waiting === 0 ? name : `part of a ${name}`;
      this.leftOut.noteHarmless(part, placeOf(element), 'it has no length');
    }
    if (shapes.waiting === 0) return;
    const added = shapes.add({
      id: idOf(element),
      labels: labelsOf(element),
      element: name,
      layers: parent.layers,
      group: parent.group,
      stroke: strokeOf(look),
      fill: fillOf(look),
      filled: filledBy(look),
      line: element.line,
    });
    if (parent.limit !== undefined && reachesBeyond(shapes.pathsOf(added), parent.limit)) {
      const why = 'it is taken whole, though it reaches beyond the window of a symbol or nested svg';
      this.leftOut.note('clipping', placeOf(element), why);
    }
    // Most shapes lie within the box of those before them and need no closer look.
    if (!builder.isWithin(this.box)) this.box = joinBoxes(this.box, shapes.boxOf(added));
  }

  /**
   * Conditions (SVG 2, section 5.9): no extension is known here, and the language is English, that
   * of the messages.
   */
  private isChosen(element: XmlElement, parent: Frame): boolean {
    if (parent.choice?.made === true) return false;
    if ((element.traits & traits.condition) !== 0) {
      const why = unmetCondition(element);
      if (why !== undefined) {
        this.leftOut.note(element.name, placeOf(element), why);
        return false;
      }
      if (element.attributes.systemLanguage !== undefined) {
        this.leftOut.noteHarmless('other languages', placeOf(element), 'what is drawn for English was taken');
      }
    }
    if (parent.choice !== undefined) parent.choice.made = true;
    return true;
  }

  private noteEffects(element: XmlElement, style: Style): void {
    if (style.size === 0 && (element.traits & traits.effect) === 0) return;
    const note = (property: string, value: string | undefined): void => {
      const why = effectProperties.get(property);
      if (why === undefined || value === undefined || /^\s*(none)?\s*$/.test(value)) return;
      this.leftOut.note(`${property} on a ${element.name}`, placeOf(element), why);
    };
    for (const [property, value] of style) note(property, value);
    for (const name in element.attributes) if (!style.has(name)) note(name, element.attributes[name]);
  }
}

/** The box of a shape in its own user units, by drawing it aside. */
const boxOf = (draw: DrawShape, shaped: Attributes, viewport: Viewport): ReferenceBox => {
  const aside = new ShapeStore();
  const builder = new PathBuilder(aside.curves);
  builder.begin(identity);
  draw(shaped, viewport, builder);
  builder.finish();
  let box = emptyBox;
  for (let i = 0; i < aside.curves.count; i += 1) box = joinBoxes(box, aside.curves.boxOf(i));
  return referenceOf(box);
};

/** Inside an element of which nothing is drawn. */
const silent: Frame = {
  ...initial,
  group: undefined,
  layers: [],
  scope: undefined,
  matrix: identity,
  viewport: { width: 0, height: 0, pixel: millimetresIn.px },
  draws: false,
};

/** Inside a shape, where only animations say anything. */
export const insideShape: Frame = { ...silent };

const saysLook = (element: XmlElement, style: Style): boolean =>
  style.size > 0 || (element.traits & traits.look) !== 0;

/** What holds inside an element: most say nothing of it. */
const lookOf = (element: XmlElement, style: Style, outer: Inherited): Inherited =>
  saysLook(element, style) ? inheritedBy(element.attributes, style, outer) : outer;

const unmetCondition = ({ attributes }: XmlElement): string | undefined => {
  const { requiredExtensions, systemLanguage } = attributes;
  if (requiredExtensions !== undefined) return 'it is drawn on a condition only (requiredExtensions)';
  const languages = systemLanguage?.split(',').map((language) => language.trim().toLowerCase());
  if (languages === undefined || languages.some((one) => one === 'en' || one.startsWith('en-')))
    return undefined;
  return 'it is drawn for other languages than English only (systemLanguage)';
};

/** Of CSS Transforms Level 2, which few programs write. */
const placingProperties = ['translate', 'rotate', 'scale', 'offset-path'];

/**
 * User units inside an element to the design frame.
 * @param fillBox of the element itself, in its own user units; undefined: not known
 * @throws AttributeFault for a transform that is malformed, or written where it is not read.
 */
const placedBy = (element: XmlElement, style: Style, parent: Frame, fillBox?: () => ReferenceBox): Matrix => {
  const { attributes } = element;
  for (const property of style.size === 0 ? [] : placingProperties) {
    const value = style.get(property);
    if (value !== undefined && value !== 'none') throw styledShape(property, value);
  }
  const styled = style.get('transform');
  const text = attributes.transform;
  if (styled === undefined && text === undefined) return parent.matrix;
  const own = styled === undefined ? undefined : styled.trim();
  const { viewport } = parent;
  const origin = style.get('transform-origin') ?? attributes['transform-origin'];
  const usesBox = origin !== undefined || own?.includes('%') === true;
  const box = usesBox ? referenceBox(element, style, viewport, fillBox) : wholeView(viewport);
  let map = own === undefined ? parseTransform(text!) : styledTransform(own, box, viewport);
  if (map === undefined) throw styledShape('transform', own!);
  if (origin !== undefined && map !== identity) {
    const at = transformOrigin(origin, box, viewport, !style.has('transform-origin'));
    if (at === undefined) throw styledShape('transform-origin', origin);
    map = about(at, map);
  }
  const matrix = compose(parent.matrix, map);
  if (matrix.every(Number.isFinite)) return matrix;
  throw new AttributeFault({
    attribute: 'transform',
    found: 'transforms that multiply to numbers too large to compute with',
    expected: 'a finite map',
    next: 'Correct the transforms, or export the drawing again.',
  });
};

const wholeView = ({ width, height }: Viewport): ReferenceBox => ({ x: 0, y: 0, width, height });

/** W3C CSS Transforms Module Level 1, section 6: `view-box` unless another one is stated. */
const referenceBox = (
  element: XmlElement,
  style: Style,
  viewport: Viewport,
  fillBox: (() => ReferenceBox) | undefined,
): ReferenceBox => {
  const stated = style.get('transform-box') ?? element.attributes['transform-box'];
  const word = stated?.trim().toLowerCase() ?? 'view-box';
  if (/^(view-box|initial|unset)$/.test(word)) return wholeView(viewport);
  if (/^(fill-box|content-box)$/.test(word) && fillBox !== undefined) return fillBox();
  throw styledShape('transform-box', word);
};

/** What is wrong with geometry that a style gives stands in no attribute. */
const styledFault = (fault: unknown, shaped: Attributes, attributes: Attributes): unknown => {
  if (!(fault instanceof AttributeFault) || fault.attribute === undefined) return fault;
  if (shaped[fault.attribute] === attributes[fault.attribute]) return fault;
  const found = fault.found.replace(`the attribute ${fault.attribute}`, `the style ${fault.attribute}`);
  const next = 'Correct the style, or export the drawing again.';
  return new AttributeFault({ attribute: undefined, found, expected: fault.expected, next });
};

/**
 * A style that moves or shapes an element and is not honoured would put the cut in the wrong place.
 * @param isHonoured says which properties are
 */
const refuseShapingStyle = (style: Style, isHonoured: (property: string) => boolean = () => false): void => {
  if (style.size === 0) return;
  for (const [property, value] of style) {
    if (!shapingProperties.has(property) || value === 'none' || value === 'auto') continue;
    if (!isHonoured(property)) throw styledShape(property, value);
  }
};

const styledShape = (property: string, value: string): AttributeFault =>
  new AttributeFault({
    attribute: undefined,
    found: `${property}: ${value.slice(0, 40)} as a style`,
    expected: `${property === 'transform-origin' ? 'a transform about the origin' : 'the same as an attribute'}`,
    next: 'Export the drawing with presentation attributes instead of styles.',
  });

export const idOf = (element: XmlElement): string | undefined => {
  if ((element.traits & traits.id) === 0) return undefined;
  const id = element.attributes.id?.trim();
  return id === '' ? undefined : id;
};

/** Stands for the labels of all elements that have none, and for the names. */
const none: readonly string[] = [];

/** See `isLabel`. */
export const labelsOf = (element: XmlElement): readonly string[] => {
  if ((element.traits & traits.label) === 0) return none;
  const labels: string[] = [];
  for (const name in element.attributes) {
    if (!isLabel(name)) continue;
    const label = element.attributes[name]!.trim();
    if (label !== '' && !labels.includes(label)) labels.push(label);
  }
  return labels;
};

/** The id and the labels of an element. */
export const namesOf = (element: XmlElement): readonly string[] => {
  const id = idOf(element);
  const labels = labelsOf(element);
  if (id === undefined) return labels;
  return labels.length === 0 ? [id] : [id, ...labels.filter((label) => label !== id)];
};

/** Where an element stands, for a list: its line, and its id if it has one. */
export const placeOf = (element: XmlElement): string => {
  const id = idOf(element);
  return id === undefined ? `line ${element.line}` : `line ${element.line} (${id})`;
};
