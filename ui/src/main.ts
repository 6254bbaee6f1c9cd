import { mount } from 'svelte'
import './app.css'
import App from './App.svelte'

const page = document.getElementById('page')
if (page) mount(App, { target: page })

// Pages open offline once the worker is in place; browsers allow it on this machine and over TLS only.
if ('serviceWorker' in navigator && import.meta.env.PROD) void navigator.serviceWorker.register('/sw.js').catch(() => {})
