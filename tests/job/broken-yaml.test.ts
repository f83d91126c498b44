import { describe, expect, test } from 'vitest';
import { jobOf, least, messageOf } from './message-of.js';

describe('Broken YAML is refused with its line and column', () => {
  test.each<[what: string, text: string, message: string, files?: Record<string, string>]>([
    [
      'an empty file',
      '',
      'jobs/fern.yaml nothing in the file; expected keys and values. Write one "key: value" on each line.',
    ],
    [
      'a file of one word',
      'fern',
      'jobs/fern.yaml:1:1 the file is "fern"; expected a mapping with title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Write one "key: value" on each line, indented alike.',
    ],
    [
      'a list instead of a mapping',
      '- a',
      'jobs/fern.yaml:1:1 the file is a list of one value; expected a mapping with title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Write one "key: value" on each line, indented alike.',
    ],
    [
      'a tab as indentation',
      'drawing: a\nfit:\n\tmodel: rigid',
      'jobs/fern.yaml:3:1 a tab as indentation; expected blanks. Indent with blanks; YAML allows no tabs there.',
    ],
    [
      'a line indented deeper than its neighbours',
      'drawing: a\n  readings: b',
      'jobs/fern.yaml:1:10 a value that is followed by a line indented deeper than its key; expected keys of one level indented alike. Align the next line with its neighbours.',
    ],
    [
      'a mapping whose brace is not closed',
      'drawing: a\nreadings: {A: [1, 2',
      'jobs/fern.yaml:2:20 a bracket that is not closed, or a line with too little indentation; expected every [ and { closed, and what is inside indented deeper than its key. Look for the missing bracket before this place.',
    ],
    [
      'a brace closed by the wrong sign',
      'drawing: a\nreadings: {A: [1, 2}',
      'jobs/fern.yaml:2:20 a bracket that is not closed, or a line with too little indentation; expected every [ and { closed, and what is inside indented deeper than its key. Look for the missing bracket before this place.',
    ],
    [
      'a list closed by a brace',
      '[1, 2}',
      'jobs/fern.yaml:1:6 text that ends too early; expected a colon and a blank behind each key, and every quote and bracket closed. Look for the missing colon, quote or bracket at or before this place.',
    ],
    [
      'a quote that is not closed',
      'drawing: "a\nreadings: b',
      'jobs/fern.yaml:2:12 text that ends too early; expected a colon and a blank behind each key, and every quote and bracket closed. Look for the missing colon, quote or bracket at or before this place.',
    ],
    [
      'a key without a colon',
      'drawing: a\nreadings\n',
      'jobs/fern.yaml:2:1 text that ends too early; expected a colon and a blank behind each key, and every quote and bracket closed. Look for the missing colon, quote or bracket at or before this place.',
    ],
    [
      'a colon without a blank behind it',
      'drawing:a\nreadings: b',
      'jobs/fern.yaml:1:1 a key that runs over more than one line; expected one "key: value" on a line, keys of one level indented alike. Put a blank behind each colon, and align the line with its neighbours.',
    ],
    [
      'a colon inside an unquoted value',
      'title: Fern: the screen',
      'jobs/fern.yaml:1:8 a value with a colon and a blank in it; expected one "key: value" on a line. Put the value in quotes, or what is inside on lines of its own.',
    ],
    [
      'a dash behind a key',
      'drawing: - a',
      'jobs/fern.yaml:1:10 text that fits nothing before it; expected keys of one level indented alike, lists either all in brackets or all with dashes. Check the indentation and the brackets here and on the line before.',
    ],
    [
      'a list and a mapping on one level',
      '- a\nb: 1',
      'jobs/fern.yaml:2:1 text that fits nothing before it; expected keys of one level indented alike, lists either all in brackets or all with dashes. Check the indentation and the brackets here and on the line before.',
    ],
    [
      'dashes inside brackets',
      'readings: [\n- a\n]',
      'jobs/fern.yaml:2:1 a bracket that is not closed, or a line with too little indentation; expected every [ and { closed, and what is inside indented deeper than its key. Look for the missing bracket before this place.',
    ],
    [
      'a value that begins with a reserved character',
      'drawing: @a',
      'jobs/fern.yaml:1:10 a value that begins with a reserved character; expected a value in quotes. Put the value in quotes.',
    ],
    [
      'a backslash sequence that YAML does not know',
      'drawing: "jobs\\q.svg"',
      'jobs/fern.yaml:1:15 a backslash sequence that YAML does not know; expected plain text, or \\\\ for a backslash inside double quotes. Use single quotes, or slashes in a path.',
    ],
    [
      'a backslash sequence that hides a character',
      'drawing: "jobs\\fern.svg"',
      'jobs/fern.yaml:1:10 (drawing) drawing is "jobs\\fern.svg", with invisible characters; expected the path of a drawing. Use visible characters only. In double quotes a backslash begins an escape: write slashes in a path.',
    ],
    [
      'a tag',
      'drawing: !file a',
      'jobs/fern.yaml:1:10 a tag (a word with !) that is not known here; expected plain values. Remove the tag, or put the value in quotes if the ! belongs to it.',
    ],
    [
      'a second document',
      'drawing: a\n---\ndrawing: b',
      'jobs/fern.yaml:2:1 a second document; expected one document in the file. Remove the line "---" or keep one job per file.',
    ],
    [
      'another version of YAML',
      '%YAML 1.1\n---\ndrawing: a',
      'jobs/fern.yaml:1:1 a %YAML 1.1 directive; expected YAML 1.2. Remove the directive; everything else can stay.',
    ],
    [
      'an unknown directive',
      '%FERN\n---\ndrawing: a',
      'jobs/fern.yaml:1:1 a % directive that is not known; expected none, or %YAML 1.2. Remove the line.',
    ],
    [
      'two anchors at one value',
      'drawing: &a &b c',
      'jobs/fern.yaml:1:13 broken YAML (A node can have at most one anchor); expected valid YAML. Correct the text at this place.',
    ],
    [
      'an alias without its anchor',
      `${least}title: *a`,
      'jobs/fern.yaml:3:8 the alias *a without its anchor &a; expected an anchor before it. Write the value itself here.',
    ],
    [
      'a list as a key',
      '? [a]\n: b',
      'jobs/fern.yaml:1:3 a list or mapping as a key; expected a name. Write a plain name before the colon.',
    ],
    [
      'an empty key',
      ': b',
      'jobs/fern.yaml:1:1 an empty key; expected a name. Write a name before the colon.',
    ],
    [
      'a key with invisible characters',
      '"a\\u0007": b',
      'jobs/fern.yaml:1:1 the key "a\\u0007", with invisible characters; expected a name. Use visible characters only.',
    ],
  ])('%s', (_what, text, message, files) => {
    expect(messageOf(() => jobOf(text, files))).toBe(message);
  });
});
