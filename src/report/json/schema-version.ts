/**
 * The version of the program that last changed the `--json` contract (semver): while it is below
 * 1.0.0 a change of the second number may rename or remove a key, later only a change of the first
 * may. A new key alone is no such change; it raises the next number.
 */
export const schemaVersion = '0.2.0';
