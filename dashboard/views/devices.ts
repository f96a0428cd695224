customElements.define('bw-devices', class extends HTMLElement {})
