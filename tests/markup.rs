//! Markup read back as the text that people see.

/// The signs that markup writes with names.
const NAMED: [(&str, &str); 5] = [
    ("&lt;", "<"),
    ("&gt;", ">"),
    ("&quot;", "\""),
    ("&apos;", "'"),
    ("&amp;", "&"),
];

/// A text with the signs that stood there by their names.
pub(crate) fn plain(text: String) -> String {
    let signs = NAMED.into_iter();
    signs.fold(text, |text, (name, sign)| text.replace(name, sign))
}
