/** Finding and filling elements of the page. */

/** The element of this id; the page and its program are one file, so it is there. */
export const byId = <E extends HTMLElement = HTMLElement>(id: string): E => {
  const found = document.getElementById(id);
  if (found === null) throw new RangeError(`the page has no #${id}`);
  return found as E;
};

export const all = <E extends Element>(selector: string, within: ParentNode = document): E[] => [
  ...within.querySelectorAll<E>(selector),
];

export const show = (element: HTMLElement, shown: boolean): void => {
  element.hidden = !shown;
};

export const make = <K extends keyof HTMLElementTagNameMap>(
  name: K,
  text = '',
  attributes: Readonly<Record<string, string>> = {},
): HTMLElementTagNameMap[K] => {
  const element = document.createElement(name);
  element.textContent = text;
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
};

/** A row of cells; the first is its head, those that hold figures stand to the right, those of `words` go where there is no room. */
export const row = (head: string, cells: readonly string[], words = 0): HTMLTableRowElement => {
  const tr = make('tr');
  tr.append(make('th', head, { scope: 'row' }));
  cells.forEach((text, i) => {
    tr.append(make('td', text, { class: i < words ? 'optional' : 'number' }));
  });
  return tr;
};
