import './styles/base.css'
import { mount } from 'svelte'
import App from './App.svelte'
import { createObservable } from './live/observe.ts'
import { onWake } from './shell/wake.ts'
import { loadWords, startLanguage } from './words/words.ts'

const { observable, report } = createObservable()
window.earshot = observable

// a key or a touch that comes before the texts are there counts
let isAwake = false
const stopWaiting = onWake(() => (isAwake = true))

const target = document.getElementById('app')
if (!target) throw new Error('the page has no place for the app')
const words = await loadWords(startLanguage())
document.documentElement.lang = words.language
document.title = words('title')
stopWaiting()
mount(App, { target, props: { words, report, isAwake } })
