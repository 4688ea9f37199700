/**
 * Builds the embedded recognition model from the trained network: `npm run model [-- --trained FOLDER --lexicon FILE
 * --out FILE]`; with `--sphinx FOLDER`, the one converted from Sphinx instead. README.md says what is needed and why.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { buildModel, type BuiltModel, type GraphCosts } from './buildModel.ts'
import { buildTrained } from './buildTrained.ts'
import { OpenFst } from './graph/openFst.ts'
import { pack } from './pack.ts'
import { readSphinxModel } from './sphinx/sphinxModel.ts'
import { readTrainedNetwork } from './trainedNetwork.ts'

const beside = (path: string): string => fileURLToPath(new URL(path, import.meta.url))
const { values: options } = parseArgs({
  options: {
    lexicon: { type: 'string', default: beside('../grammar/en/lexicon.dict') },
    others: { type: 'string', default: beside('../grammar/en/otherWords.dict') },
    sphinx: { type: 'string' },
    trained: { type: 'string', default: beside('trained') },
    conf: { type: 'string' },
    costs: { type: 'string' },
    out: { type: 'string', default: beside('../public/model/en.tar.gz') },
  },
})

const settings = options.sphinx !== undefined ? 'conf' : 'train/conf'
const lexicon = readFileSync(options.lexicon, 'utf8')
const others = readFileSync(options.others, 'utf8')
const conf = readFileSync(options.conf ?? beside(`${settings}/model.conf`), 'utf8')
const costs = JSON.parse(
  readFileSync(options.costs ?? beside(`${settings}/costs.json`), 'utf8'),
) as GraphCosts
const fst = new OpenFst()
const { files, figures }: BuiltModel =
  options.sphinx !== undefined
    ? buildModel(readSphinxModel(options.sphinx), lexicon, conf, costs, fst)
    : buildTrained(readTrainedNetwork(options.trained), lexicon, others, conf, costs, fst)
const notice = options.sphinx !== undefined ? beside('NOTICE') : join(options.trained, 'NOTICE')
files.set('model/NOTICE', readFileSync(notice, 'utf8'))
const archive = pack(files)
mkdirSync(dirname(options.out), { recursive: true })
writeFileSync(options.out, archive)
console.log(
  Object.entries({ ...figures, bytes: archive.length })
    .map(([name, value]) => `${name} ${value}`)
    .join(', '),
)
