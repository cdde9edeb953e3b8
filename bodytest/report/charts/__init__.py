"""The charts of a page, drawn with matplotlib on bare axes and written as inline SVG that takes the page's colours."""
