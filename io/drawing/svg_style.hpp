#pragma once
#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ovolo::io {

/// One declaration of CSS ("display: none"); `at` is where its name stands, in bytes.
struct Declaration {
  std::string name, value;  ///< in lower case, without blanks at the ends and without "!important"
  std::size_t at = 0;
  bool important = false;
};

/// The properties that decide whether and where a shape stands; the others only paint it.
bool places_shapes(std::string_view property);  ///< transforms
bool sizes_shapes(std::string_view property);   ///< a shape's geometry (SVG 2)
bool hides_shapes(std::string_view property);   ///< display, visibility

/// Those of a style attribute or of a rule's braces that speak of such a property, the one that wins of each;
/// `at` is where the text begins. What is no declaration is passed over, as CSS asks.
std::vector<Declaration> declarations(std::string_view text, std::size_t at = 0);

/// What selectors look at.
struct StyledElement {
  std::string_view name, id, classes;
};

/// The rules of a drawing's <style> elements. Selectors of one element are read: its name, #id, .class, * and
/// their joins ("path.cut.red"); CSS 2.2, chapters 5 and 6.4.
class StyleSheet {
 public:
  /// `at` is where the text begins. Throws ScanError where a rule with another selector (of descendants,
  /// states or attributes) speaks of one of those properties: it cannot be told whom it meets.
  void add(std::string_view text, std::size_t at);
  /// The declarations that win for the element, one of each property that the rules speak of.
  std::vector<Declaration> declared(const StyledElement& element) const;
  /// Rules such as @media and @import that were left out.
  int left_out() const { return left_out_; }

 private:
  struct Selector {
    std::string name;  // empty: any
    std::vector<std::string> ids, classes;
    bool meets(const StyledElement& element) const;
  };
  struct Rule {
    Selector selector;
    std::size_t weight = 0;  // ids before classes before names
    Declaration declared;
  };
  static std::optional<Selector> selector(std::string_view text);

  std::map<std::string, std::vector<Rule>, std::less<>> rules_;  // by property
  std::size_t count_ = 0;
  int left_out_ = 0;
};

}  // namespace ovolo::io
