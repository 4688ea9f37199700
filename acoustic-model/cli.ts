/**
 * Builds the embedded recognition model: `npm run model [-- --lexicon FILE --sphinx FOLDER --out FILE]`.
 * README.md says what is needed and why.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { buildModel, type GraphCosts } from './buildModel.ts'
import { OpenFst } from './graph/openFst.ts'
import { pack } from './pack.ts'
import { readSphinxModel } from './sphinx/sphinxModel.ts'

const beside = (path: string): string => fileURLToPath(new URL(path, import.meta.url))
const { values: options } = parseArgs({
  options: {
    lexicon: { type: 'string', default: beside('../grammar/en/lexicon.dict') },
    sphinx: { type: 'string', default: '/usr/share/pocketsphinx/model/en-us/en-us' },
    conf: { type: 'string', default: beside('conf/model.conf') },
    costs: { type: 'string', default: beside('conf/costs.json') },
    out: { type: 'string', default: beside('../public/model/en.tar.gz') },
  },
})

const costs = JSON.parse(readFileSync(options.costs, 'utf8')) as GraphCosts
const { files, figures } = buildModel(
  readSphinxModel(options.sphinx),
  readFileSync(options.lexicon, 'utf8'),
  readFileSync(options.conf, 'utf8'),
  costs,
  new OpenFst(),
)
files.set('model/NOTICE', readFileSync(beside('NOTICE'), 'utf8'))
const archive = pack(files)
mkdirSync(dirname(options.out), { recursive: true })
writeFileSync(options.out, archive)
console.log(
  Object.entries({ ...figures, bytes: archive.length })
    .map(([name, value]) => `${name} ${value}`)
    .join(', '),
)
