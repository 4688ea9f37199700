/** Prints the design document for the administrator of a server, see docs/logbook-format.md. */
import { designDocument } from './designDocument.ts'

console.log(JSON.stringify(designDocument, null, 2))
