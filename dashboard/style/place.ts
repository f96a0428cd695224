import { noChange } from 'lit'
import { directive, Directive, type ElementPart, type PartInfo, PartType } from 'lit/directive.js'

/**
 * Puts an element at a share (0 to 1) of its line by setting a custom property through the CSSOM: style attributes are
 * not allowed under the page's content security policy.
 */
class PlaceDirective extends Directive {
  constructor(part: PartInfo) {
    super(part)
    if (part.type !== PartType.ELEMENT)
      throw new Error('Cannot place: it goes on an element, not in an attribute.')
  }
  render(_share: number): typeof noChange {
    return noChange
  }
  override update(part: ElementPart, [share]: [number]): typeof noChange {
    if (part.element instanceof HTMLElement)
      part.element.style.setProperty('--at', `${(share * 100).toFixed(2)}%`)
    return noChange
  }
}
export const place = directive(PlaceDirective)
