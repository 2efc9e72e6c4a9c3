#include "io/text.hpp"

#include <catch2/catch.hpp>

using ovolo::io::shown;
using ovolo::io::utf8_character;

TEST_CASE("UTF-8 is checked to the letter", "[text]") {
  CHECK(utf8_character("a") == 1);
  CHECK(utf8_character("\xC3\xA9") == 2);
  CHECK(utf8_character("\xE2\x82\xAC") == 3);
  CHECK(utf8_character("\xF0\x9F\x94\xA7") == 4);
  // RFC 3629, section 3: overlong forms, surrogates, beyond U+10FFFF, a lone continuation, cut short.
  for (const char* bad : {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80",
                          "\x80", "\xE2\x82", "\xC3", "\xFF", ""})
    CHECK(utf8_character(bad) == 0);
}

TEST_CASE("lines are broken between words, never before a unit", "[text]") {
  using ovolo::io::wrapped;
  CHECK(wrapped("set depth to 19.000 mm (0.7480 in)", 32, "  ") == "set depth to 19.000 mm\n  (0.7480 in)");
  CHECK(wrapped("at 96.5 % of 12 in, or 7 inches", 9, "") == "at 96.5 %\nof 12 in,\nor 7\ninches");
  CHECK(wrapped("a longerword b", 4, "") == "a\nlongerword\nb");
  CHECK(wrapped("", 4, "") == "");
}

TEST_CASE("lengths in both units are turned round, lines stay broken where they were", "[text]") {
  using ovolo::io::inch_first;
  CHECK(inch_first("set depth to 3.62 mm (0.1425 in) or less") == "set depth to 0.1425 in (3.62 mm) or less");
  CHECK(inch_first("-0.097 mm (-0.0038 in), 3.5 mm\n  (0.1378 in)") ==
        "-0.0038 in (-0.097 mm), 0.1378 in\n  (3.5 mm)");
  CHECK(inch_first("feed 1500 mm/min (59.1 in/min), marks of 1.9 um (0.07 thou), 12.3 mm2 (0.0191 in2)") ==
        "feed 59.1 in/min (1500 mm/min), marks of 0.07 thou (1.9 um), 0.0191 in2 (12.3 mm2)");
  CHECK(
      inch_first("1.5 \u00b5m (0.06 thou), 12.3 mm\u00b2 (0.0191 in\u00b2), 900 mm\u00b3 (0.055 in\u00b3)") ==
      "0.06 thou (1.5 \u00b5m), 0.0191 in\u00b2 (12.3 mm\u00b2), 0.055 in\u00b3 (900 mm\u00b3)");
  for (const char* kept : {"", "3 mm", "3.000 mm    0.1181 in", "mm (0.1 in)", "5 mm (often)", "5 mm (3",
                           "1 mm (2 in.)", "5 mm3 (0.1 in)", "drum (1 in)"})
    CHECK(inch_first(kept) == kept);
}

TEST_CASE("long lines are broken between words, short ones kept as they are", "[text]") {
  using ovolo::io::wrap_long_lines;
  CHECK(wrap_long_lines("", 10) == "");
  CHECK(wrap_long_lines("a  table\n\n", 10) == "a  table\n\n");
  CHECK(wrap_long_lines("  one two three four\nfive", 12) == "  one two\n    three\n    four\nfive");
  CHECK(wrap_long_lines("  averyveryverylongword x\n", 12) == "  averyveryverylongword\n    x\n");
}

TEST_CASE("text in messages is short and printable", "[text]") {
  CHECK(shown("plain") == "plain");
  CHECK(shown("a\x1b[31mb\n") == "a?[31mb?");
  CHECK(shown("abcdef", 3) == "abc...");
  CHECK(shown("ab\xC3\xA9", 3) == "ab...");  // never half a character
  CHECK(shown("Gr\xC3\xB6\xC3\x9F"
              "e") ==
        "Gr\xC3\xB6\xC3\x9F"
        "e");
  CHECK(shown("Gr\xF6\xDF"
              "e") == "Gr??e");  // another encoding
  CHECK(shown("\xC2\x9B"
              "31m\xC2\xA0") == "?31m\xC2\xA0");  // a control character of two bytes
}
