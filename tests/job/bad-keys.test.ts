import { describe, expect, test } from 'vitest';
import { jobOf, least, messageOf } from './message-of.js';

describe('Keys and words that are not known are refused by name', () => {
  test.each<[what: string, text: string, message: string, files?: Record<string, string>]>([
    [
      'a key given twice',
      `${least}drawing: b`,
      'jobs/fern.yaml:3:1 (drawing) "drawing" twice; expected each key once. Remove one of them; the other stands on line 1.',
    ],
    [
      'a mark read twice under one name',
      'drawing: a\nreadings:\n  A: [1, 2]\n  B: [1, 2]\n  "A ": [3, 4]',
      'jobs/fern.yaml:5:3 (readings.A) "A" twice; expected each key once. Remove one of them; the other stands on line 3.',
    ],
    [
      'a misspelt key',
      `${least}titel: x`,
      'jobs/fern.yaml:3:1 (titel) the unknown key "titel"; expected title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Did you mean "title"?',
    ],
    [
      'a key like no other',
      `${least}sandwich: x`,
      'jobs/fern.yaml:3:1 (sandwich) the unknown key "sandwich"; expected title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Remove it, or use one of these keys.',
    ],
    [
      'a misspelt key of a section',
      `${least}cut:\n  clearence: 0.5`,
      'jobs/fern.yaml:4:3 (cut.clearence) the unknown key "clearence" in cut; expected kind, clearance, kerf, corners, mitre-limit, tolerance, smallest-land or apply. Did you mean "clearance"?',
    ],
    [
      'an underscore for a hyphen',
      `${least}fit: {reading_sd: 0.1}`,
      'jobs/fern.yaml:3:7 (fit.reading_sd) the unknown key "reading_sd" in fit; expected model, reading-sd, reading-sd-dof, mark-sd, approach, display-step, pointing-sd or pointing-bias. Did you mean "reading-sd"?',
    ],
    [
      'a key cut short',
      `${least}machine: {bed-map: {skew: 1}}`,
      'jobs/fern.yaml:3:21 (machine.bed-map.skew) the unknown key "skew" in machine.bed-map; expected scale or skew-mrad. Did you mean "skew-mrad"?',
    ],
    [
      'a key outside its section',
      `${least}clearance: 0.5`,
      'jobs/fern.yaml:3:1 (clearance) the unknown key "clearance"; expected title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Write it under "cut", as "clearance".',
    ],
    [
      'a misspelt key outside its section',
      `${least}clearence: 0.5`,
      'jobs/fern.yaml:3:1 (clearence) the unknown key "clearence"; expected title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Write it under "cut", as "clearance".',
    ],
    [
      'a merge key',
      `${least}<<: x`,
      'jobs/fern.yaml:3:1 (<<) the unknown key "<<"; expected title, date, drawing, units, dpi, join, face, roles, marks, readings, touches, witness, machine, fit, pierced, cut, film, material, check, plan, gaps or gap-sd. Remove it, or use one of these keys.',
    ],
    [
      'a plan for no mark at all',
      `${least}plan: {marks: 1}`,
      'jobs/fern.yaml:3:15 (plan.marks) plan.marks is 1; expected a number, 2 or more and 6 or less. Three or four marks serve most panels.',
    ],
    [
      'a plan for half a mark',
      `${least}plan: {marks: 2.5}`,
      'jobs/fern.yaml:3:15 (plan.marks) plan.marks is 2.5; expected a whole number. Write how many marks the plan is for: 2, 3 or 4.',
    ],
    [
      'a plan from something that is nothing to touch',
      `${least}plan: {use: [land, corner]}`,
      'jobs/fern.yaml:3:20 (plan.use[2]) plan.use[2] is "corner"; expected land, corners, holes or edges. Did you mean "corners"?',
    ],
    [
      'a plan from nothing',
      `${least}plan: {use: []}`,
      'jobs/fern.yaml:3:13 (plan.use) plan.use is an empty list; expected at least one of land, corners, holes, edges. Remove the key for marks on free land.',
    ],
    [
      'a plan with a key like another',
      `${least}plan: {from-opening: 3}`,
      'jobs/fern.yaml:3:8 (plan.from-opening) the unknown key "from-opening" in plan; expected marks, use, allowed, from-openings, from-edge, spacing or grid. Did you mean "from-openings"?',
    ],
    [
      'a job without a drawing',
      'readings: {A: [1, 2]}',
      'jobs/fern.yaml no key "drawing"; expected this key in every job. Write drawing: and the path of the SVG or DXF file.',
    ],
    [
      'a job without readings',
      'drawing: a',
      'jobs/fern.yaml no key "readings"; expected this key in every job. Write readings: and one "mark: [x, y]" for each mark, or the path of a table.',
    ],
    [
      'a title without text',
      `${least}title:`,
      'jobs/fern.yaml:3:7 (title) title is empty; expected text. Write it behind the colon.',
    ],
    [
      'an empty path of the drawing',
      'drawing: ""\nreadings: {A: [1, 2]}',
      'jobs/fern.yaml:1:10 (drawing) drawing is ""; expected the path of a drawing. Write it behind the colon.',
    ],
    [
      'a list of drawings',
      'drawing: [a, b]\nreadings: {A: [1, 2]}',
      'jobs/fern.yaml:1:10 (drawing) drawing is a list of 2 values; expected the path of a drawing. Write it behind the colon.',
    ],
    [
      'a title that would colour the terminal',
      `${least}title: "a\\u001b[31m"`,
      'jobs/fern.yaml:3:8 (title) title is "a\\u001b[31m", with invisible characters; expected text. Use visible characters only. In double quotes a backslash begins an escape: write slashes in a path.',
    ],
    [
      'an unknown unit',
      `${least}units: inch`,
      'jobs/fern.yaml:3:8 (units) units is "inch"; expected mm, cm, m, in, ft, pt, pc, px, q, mil or um. Did you mean "in"?',
    ],
    [
      'a word in capitals',
      `${least}face: Down`,
      'jobs/fern.yaml:3:7 (face) face is "Down"; expected up or down. Did you mean "down"?',
    ],
    [
      'an unknown face',
      `${least}face: left`,
      'jobs/fern.yaml:3:7 (face) face is "left"; expected up or down. Write one of these words.',
    ],
    [
      'a misspelt model',
      `${least}fit: {model: ridgid}`,
      'jobs/fern.yaml:3:14 (fit.model) fit.model is "ridgid"; expected shift, rigid, similarity or affine. Did you mean "rigid"?',
    ],
    [
      'an unknown way to apply',
      `${least}cut: {apply: all}`,
      'jobs/fern.yaml:3:14 (cut.apply) cut.apply is "all"; expected full, rigid or shift. Write one of these words.',
    ],
    [
      'a kind in the plural',
      `${least}cut: {kind: openings}`,
      'jobs/fern.yaml:3:13 (cut.kind) cut.kind is "openings"; expected opening, inlay or as-drawn. Did you mean "opening"?',
    ],
    [
      'the former word for an inlay',
      `${least}cut: {kind: infill}`,
      'jobs/fern.yaml:3:13 (cut.kind) cut.kind is "infill"; expected opening, inlay or as-drawn. Did you mean "inlay"?',
    ],
    [
      'the former word for an inlay, of a job without readings',
      'drawing: fern.svg\ncut: {kind: infill}',
      'jobs/fern.yaml:2:13 (cut.kind) cut.kind is "infill"; expected opening, inlay or as-drawn. Did you mean "inlay"?',
    ],
    [
      'the other spelling of mitre',
      `${least}cut: {corners: miter}`,
      'jobs/fern.yaml:3:16 (cut.corners) cut.corners is "miter"; expected mitre or round. Did you mean "mitre"?',
    ],
    [
      'yes for true',
      `${least}pierced: {kerf: 0.1, compensated: yes}`,
      'jobs/fern.yaml:3:35 (pierced.compensated) pierced.compensated is "yes"; expected true or false. Write one of these words.',
    ],
    [
      'an uncompensated cut of unknown kerf',
      `${least}pierced: {compensated: false}`,
      'jobs/fern.yaml:3:24 (pierced.compensated) pierced.compensated is false; expected "kerf" beside it. State the kerf of the cut that pierced the panel, or remove the key.',
    ],
    [
      'a section without keys',
      `${least}cut:`,
      'jobs/fern.yaml:3:5 (cut) cut is empty; expected a mapping with kind, clearance, kerf, corners, mitre-limit, tolerance, smallest-land or apply. Fill in what belongs to cut, or remove the key.',
    ],
    [
      'a number for a section',
      `${least}cut: 3`,
      'jobs/fern.yaml:3:6 (cut) cut is 3; expected a mapping with kind, clearance, kerf, corners, mitre-limit, tolerance, smallest-land or apply. Write one "key: value" on each line, indented alike.',
    ],
    [
      'a list for a section',
      `${least}cut: [a]`,
      'jobs/fern.yaml:3:6 (cut) cut is a list of one value; expected a mapping with kind, clearance, kerf, corners, mitre-limit, tolerance, smallest-land or apply. Write one "key: value" on each line, indented alike.',
    ],
    [
      'an unknown role',
      `${least}roles: {mark: x}`,
      'jobs/fern.yaml:3:9 (roles.mark) the unknown key "mark" in roles; expected marks, openings or outline. Did you mean "marks"?',
    ],
    [
      'px to the inch that no program writes',
      `${least}dpi: 9`,
      'jobs/fern.yaml:3:6 (dpi) dpi is 9; expected a number, 10 or more and 10000 or less. Write 96 as in CSS, 90 or 72 for files of older programs, or what the drawing was made at.',
    ],
    [
      'px to the inch of a drawing in mm',
      `${least}units: mm\ndpi: 90`,
      'jobs/fern.yaml:4:6 (dpi) dpi is 90; expected no "dpi" beside "units", unless that is px. Keep the one that holds: dpi counts px to the inch.',
    ],
    [
      'a role without anything',
      `${least}roles: {marks: []}`,
      'jobs/fern.yaml:3:16 (roles.marks) roles.marks is an empty list; expected the id of a shape, the name of a layer, stroke:COLOUR, fill:COLOUR, "not" before one of these, or a list of them. Write what has this role, or remove the key.',
    ],
    [
      'a blank behind stroke:',
      `${least}roles: {openings: [leaves, stroke: red]}`,
      'jobs/fern.yaml:3:28 (roles.openings[2]) roles.openings[2] is a mapping; expected the id of a shape, the name of a layer, stroke:COLOUR, fill:COLOUR, "not" before one of these, or a list of them. Write it behind the colon.',
    ],
  ])('%s', (_what, text, message, files) => {
    expect(messageOf(() => jobOf(text, files))).toBe(message);
  });
});
