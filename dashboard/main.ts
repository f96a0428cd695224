import './app.ts'
import { applyTheme } from './state/preferences.ts'
import { store } from './state/store.ts'

applyTheme()
store.start()
