/**
 * Builds the embedded recognition model from the trained network: `npm run model [-- --trained FOLDER --lexicon FILE
 * --out FILE]`. README.md says what is needed and why.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { buildModel, type GraphCosts } from './buildModel.ts'
import { OpenFst } from './graph/openFst.ts'
import { pack } from './pack.ts'
import { readTrainedNetwork } from './trainedNetwork.ts'

const beside = (path: string): string => fileURLToPath(new URL(path, import.meta.url))
const { values: options } = parseArgs({
  options: {
    lexicon: { type: 'string', default: beside('../grammar/en/lexicon.dict') },
    others: { type: 'string', default: beside('../grammar/en/otherWords.dict') },
    trained: { type: 'string', default: beside('trained') },
    conf: { type: 'string' },
    costs: { type: 'string' },
    out: { type: 'string', default: beside('../public/model/en.tar.gz') },
  },
})

const lexicon = readFileSync(options.lexicon, 'utf8')
const others = readFileSync(options.others, 'utf8')
const conf = readFileSync(options.conf ?? beside('train/conf/model.conf'), 'utf8')
const costs = JSON.parse(readFileSync(options.costs ?? beside('train/conf/costs.json'), 'utf8')) as GraphCosts
const fst = new OpenFst()
const { files, figures } = buildModel(readTrainedNetwork(options.trained), lexicon, others, conf, costs, fst)
files.set('model/NOTICE', readFileSync(join(options.trained, 'NOTICE'), 'utf8'))
const archive = pack(files)
mkdirSync(dirname(options.out), { recursive: true })
writeFileSync(options.out, archive)
console.log(
  Object.entries({ ...figures, bytes: archive.length })
    .map(([name, value]) => `${name} ${value}`)
    .join(', '),
)
