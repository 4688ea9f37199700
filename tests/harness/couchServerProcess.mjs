/**
 * A server that speaks the CouchDB protocol, as a process of its own: PouchDB behind express-pouchdb, with
 * what CouchDB has and those two lack or do wrongly: names and passwords, leave for pages of other origins, and
 * `validate_doc_update` (their plugin for it drops every replicated change of a document).
 * Takes its options as JSON, see couchServer.ts; tells the port to its parent.
 */
import express from 'express'
import expressPouchdb from 'express-pouchdb'
import diskAdapter from 'pouchdb-adapter-leveldb'
import memoryAdapter from 'pouchdb-adapter-memory'
import core from 'pouchdb-core'
import mapReduce from 'pouchdb-mapreduce'
import replication from 'pouchdb-replication'

const { port, user, password, folder } = JSON.parse(process.argv[2])
const PouchDB = core
  .plugin(folder ? diskAdapter : memoryAdapter)
  .plugin(mapReduce)
  .plugin(replication)
  .defaults(folder ? { adapter: 'leveldb', prefix: `${folder}/` } : { adapter: 'memory' })
const app = express()

app.use((request, response, next) => {
  const { origin } = request.headers
  if (origin) {
    response.set({
      'Access-Control-Allow-Origin': origin,
      'Access-Control-Allow-Credentials': 'true',
      'Access-Control-Allow-Methods': 'GET, PUT, POST, HEAD, DELETE',
      'Access-Control-Allow-Headers': 'accept, authorization, content-type, origin, referer',
    })
  }
  if (request.method === 'OPTIONS') return response.sendStatus(204)
  const wanted = `Basic ${Buffer.from(`${user}:${password}`).toString('base64')}`
  if (user !== undefined && request.headers.authorization !== wanted)
    return response.status(401).json({ error: 'unauthorized', reason: 'Name or password is incorrect.' })
  next()
})

/** The database's validation functions, kept until a design document is written. */
const validators = new Map()

async function validatorsOf(name) {
  if (!validators.has(name)) {
    const { rows } = await new PouchDB(name).allDocs({
      startkey: '_design/',
      endkey: '_design0',
      include_docs: true,
    })
    const sources = rows.flatMap(({ doc }) => doc.validate_doc_update ?? [])
    validators.set(
      name,
      sources.map((source) => new Function(`return (${source})`)()),
    )
  }
  return validators.get(name)
}

/** Why a document may not be written; `null` when it may. */
function refusal(functions, doc, before) {
  try {
    for (const validate of functions) validate(doc, before, { name: null, roles: [] }, {})
    return null
  } catch (error) {
    return error.forbidden ?? error.unauthorized ?? String(error)
  }
}

const body = express.json({ limit: '256mb' })

app.post('/:db/_bulk_docs', body, async (request, response) => {
  const { docs, new_edits = true } = request.body
  const database = new PouchDB(request.params.db)
  const functions = await validatorsOf(request.params.db)
  const { rows } = await database.allDocs({ keys: docs.map(({ _id }) => _id), include_docs: true })
  const refused = []
  const letIn = docs.filter((doc, i) => {
    const reason = refusal(functions, doc, rows[i]?.doc ?? null)
    if (reason !== null) refused.push({ id: doc._id, error: 'forbidden', reason })
    return reason === null
  })
  const answers = await database.bulkDocs(letIn, { new_edits })
  const told = answers.map((each) =>
    each.error ? { id: each.id, error: each.name, reason: each.message } : each,
  )
  response.status(201).json([...told, ...refused])
})

app.put('/:db/:id', body, async (request, response, next) => {
  const { db, id } = request.params
  if (id.startsWith('_')) return next()
  const before = await new PouchDB(db).get(id).catch(() => null)
  const reason = refusal(await validatorsOf(db), { ...request.body, _id: id }, before)
  if (reason !== null) return response.status(403).json({ error: 'forbidden', reason })
  next()
})
app.put('/:db/_design/:name', (request, _response, next) => {
  validators.delete(request.params.db)
  next()
})

app.use(expressPouchdb(PouchDB, { mode: 'minimumForPouchDB', inMemoryConfig: true }))

process.on('message', (question) => {
  if (question === 'memory') process.send(process.memoryUsage().rss)
})

const server = app.listen(port, '127.0.0.1', () => process.send({ port: server.address().port }))
