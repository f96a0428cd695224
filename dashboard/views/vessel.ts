customElements.define('bw-vessel-page', class extends HTMLElement {})
