/**
 * Which declarations hold for an element: W3C CSS Cascade 4, section 6, as far as one drawing needs
 * it.
 */

import { limits } from '../../../job/bounds.js';
import { type Declaration, readStyleAttribute, type Style } from './declarations.js';
import { isUsable } from './properties.js';
import { matches, type Scope, type StyleSelector } from './selector.js';
import type { Sheet, StyleRule } from './sheet.js';
import { SheetFault } from './tokens.js';

export const noStyle: Style = new Map();

/**
 * Selectors in all sheets of a drawing, and how often one may be held against an element, all in
 * all.
 */
const mostSelectors = limits.selectors.most;
const mostTrials = limits.selectorTrials.most;

/** Styles that are worked out once and used again. */
const remembered = 1024;

/** Rules that come to more than can be worked through. */
export class TooManyRules extends Error {
  constructor(
    readonly found: string,
    readonly expected: string,
  ) {
    super(`${found}; expected ${expected}`);
    this.name = 'TooManyRules';
  }
}

interface IndexedSelector {
  readonly selector: StyleSelector;
  readonly rule: StyleRule;
  /** Place among all selectors of all sheets. */
  readonly order: number;
}

export class Cascade {
  private readonly index = new Map<string, IndexedSelector[]>();
  private readonly known = new Map<string, Style>();
  /** Without rules no element has to be seen by selectors. */
  readonly hasRules: boolean;
  private trials = 0;

  /** @throws TooManyRules */
  constructor(sheets: readonly Sheet[]) {
    let order = 0;
    for (const rule of sheets.flatMap(({ rules }) => rules)) {
      for (const selector of rule.selectors) {
        const { key } = selector.compounds[0]!;
        const found = this.index.get(key);
        if (found === undefined) this.index.set(key, [{ selector, rule, order }]);
        else found.push({ selector, rule, order });
        order += 1;
      }
    }
    this.hasRules = order > 0;
    if (order <= mostSelectors) return;
    throw new TooManyRules(`style sheets with ${order} selectors`, `at most ${mostSelectors}`);
  }

  /**
   * The style of an element, sheets and `style` attribute together.
   * @param scope the element for selectors; undefined where there are no rules
   * @throws TooManyRules
   */
  styleOf(attributes: Scope['attributes'], scope: Scope | undefined): Style {
    const own = attributes.style ?? '';
    if (scope === undefined || !this.hasRules) return own === '' ? noStyle : this.recall(own, () => [], own);
    const found = this.matching(scope);
    if (found.length === 0 && own === '') return noStyle;
    const key = `${found.map(({ order }) => order).join()} ${own}`;
    return this.recall(key, () => found, own);
  }

  /** The selectors that hold, weakest first. */
  private matching(element: Scope): IndexedSelector[] {
    const found: IndexedSelector[] = [];
    const count = (): void => {
      this.trials += 1;
      if (this.trials <= mostTrials) return;
      throw new TooManyRules(
        'style rules for which too many elements would have to be tried',
        `at most ${mostTrials} trials of a selector`,
      );
    };
    const look = (key: string): void => {
      for (const one of this.index.get(key) ?? []) {
        if (matches(one.selector, element, count)) found.push(one);
      }
    };
    look('*');
    look(`<${element.name}`);
    for (const name of new Set(element.classes)) look(`.${name}`);
    const id = element.attributes.id?.trim();
    if (id !== undefined) look(`#${id}`);
    return found.sort((a, b) => a.selector.specificity - b.selector.specificity || a.order - b.order);
  }

  private recall(key: string, rules: () => readonly IndexedSelector[], own: string): Style {
    const known = this.known.get(key);
    if (known !== undefined) return known;
    if (this.known.size >= remembered) this.known.clear();
    const style = merged(rules(), own);
    this.known.set(key, style);
    return style;
  }
}

/** Later ones win; important ones in a second round, so that they win over all others. */
const merged = (rules: readonly IndexedSelector[], own: string): Style => {
  const all = [...rules.flatMap(({ rule }) => rule.declarations), ...attributeDeclarations(own)];
  const style = new Map<string, string>();
  for (const important of [false, true]) {
    for (const one of all) {
      if (one.important === important && isUsable(one.property, one.value))
        style.set(one.property, one.value);
    }
  }
  return style;
};

/**
 * A `style` attribute with brackets that do not match says nothing that could be relied on; it is
 * taken as far as it goes.
 */
const attributeDeclarations = (text: string): readonly Declaration[] => {
  try {
    return readStyleAttribute(text);
  } catch (error) {
    if (!(error instanceof SheetFault)) throw error;
    return readStyleAttribute(text.slice(0, error.at));
  }
};
