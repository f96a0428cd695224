customElements.define('bw-new-device', class extends HTMLElement {})
