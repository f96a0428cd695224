import './app.ts'
import { keepShell } from './push/worker.ts'
import { applyTheme } from './state/preferences.ts'
import { store } from './state/store.ts'

applyTheme()
store.start()
keepShell()
