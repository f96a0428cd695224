customElements.define('bw-settings', class extends HTMLElement {})
