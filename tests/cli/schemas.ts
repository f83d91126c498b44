/** Each object that `--json` prints, against the JSON Schema that is shipped for its command (dist/schemas). */
import { readFileSync } from 'node:fs';
import { Ajv, type ValidateFunction } from 'ajv';

const known = new Map<string, ValidateFunction>();

const validatorOf = (command: string): ValidateFunction => {
  const before = known.get(command);
  if (before) return before;
  const file = new URL(`../../dist/schemas/${command}.schema.json`, import.meta.url);
  const made = new Ajv({ allErrors: true, allowUnionTypes: true }).compile(
    JSON.parse(readFileSync(file, 'utf8')),
  );
  known.set(command, made);
  return made;
};

/** @throws Error that names the places, where an object says less, more or other things than its schema promises */
export const expectSchema = (argv: readonly string[], out: string): void => {
  const words = argv.filter((word) => !word.startsWith('-'));
  const command = words[0] === 'calibrate' && words[1] === 'drift' ? 'drift' : words[0]!;
  for (const line of out.split('\n').filter((one) => one !== '')) {
    const object = JSON.parse(line);
    const validate = validatorOf('pieces' in object ? 'pieces' : command);
    if (validate(object)) continue;
    const places = validate.errors!.map((e) => `${e.instancePath || 'the object'} ${e.message}`);
    throw new Error(`${command} --json breaks its schema: ${[...new Set(places)].slice(0, 8).join('; ')}`);
  }
};
