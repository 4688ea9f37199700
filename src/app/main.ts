import { mount } from 'svelte'
import App from './App.svelte'
import { createObservable } from './observe.ts'

const { observable, report } = createObservable()
window.earshot = observable

const target = document.getElementById('app')
if (!target) throw new Error('the page has no place for the app')
mount(App, { target, props: { report } })
