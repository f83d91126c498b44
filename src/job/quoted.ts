/** Words of the operator inside a message. */

// biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
const invisible = /[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]/;

/**
 * True for text with characters that cannot be seen or that turn a line around: no name holds them.
 */
export const hasInvisible = (text: string): boolean => invisible.test(text);

/** Text in quotes on one line: at most 40 characters, invisible ones written as escapes. */
export const quoted = (text: string): string => {
  const short = text.length > 40 ? `${text.slice(0, 37)}...` : text;
  return JSON.stringify(short).replace(new RegExp(invisible, 'g'), (character) => {
    return `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`;
  });
};
