/** Before anything else is loaded: what the core works out here has the digits that it has on the command line. */
import { functions } from './functions.js';

Object.assign(Math, functions);
