// Reading of single lines by NISTIR 6556, section 3.3. Read in texts that carry the report: the rules for
// numbers, that # comes before other operations, parameters 1 to 5399 (appendix E), near integers, the order
// and repeats of items. From memory: the expression examples, FIX and FUP, the sign of MOD, blanks within
// numbers, messages.
#include <catch2/catch.hpp>
#include <map>
#include <string>

#include "io/program/line.hpp"

using namespace ovolo;
using namespace ovolo::io;

namespace {

struct Values : ParameterSource {
  std::map<int, double> held;
  double parameter(int index, LineColumn) const override {
    const auto it = held.find(index);
    return it == held.end() ? 0 : it->second;
  }
};

double value_of(const std::string& text, const Values& values = {}) {
  const ProgramLine line = parse_line("x" + text, 1, values);
  REQUIRE(line.words.size() == 1);
  return line.words[0].value;
}

std::string error_at(const std::string& text) {
  try {
    parse_line(text, 1, Values{});
  } catch (const ProgramError& e) {
    return std::to_string(e.at.column) + " " + e.what();
  }
  return {};
}

}  // namespace

TEST_CASE("program lines: words, line number, blanks and case", "[program]") {
  const ProgramLine line = parse_line("N0010 G1 X 1.5y-2 (to the corner) #3=15 f[2+3]", 7, Values{});
  REQUIRE(line.number);
  CHECK(*line.number == 10);
  REQUIRE(line.words.size() == 4);
  CHECK(line.words[0].letter == 'G');
  CHECK(line.words[1].letter == 'X');
  CHECK(line.words[1].value == 1.5);
  CHECK(line.words[1].at == LineColumn{7, 10});
  CHECK(line.words[2].value == -2);
  CHECK(line.words[3].value == 5);
  REQUIRE(line.settings.size() == 1);
  CHECK(line.settings[0].index == 3);
  CHECK(line.settings[0].value == 15);
  CHECK_FALSE(line.block_delete);

  // "g0x +0. 12 34y 7" is "g0 x+0.1234 y7".
  const ProgramLine odd = parse_line("g0x +0. 12 34y 7", 1, Values{});
  REQUIRE(odd.words.size() == 3);
  CHECK(odd.words[1].value == 0.1234);
  CHECK(odd.words[2].value == 7);

  CHECK(parse_line("  / n5 g0 x1", 1, Values{}).block_delete);
  CHECK(parse_line("/ this is never read (", 1, Values{}, true).words.empty());
  CHECK(parse_line("", 1, Values{}).words.empty());
}

TEST_CASE("program lines: the order of items means nothing", "[program]") {
  // "g40 g1 #3=15 (foo) #4=-7.0" has 120 orders of one meaning.
  for (const char* text :
       {"g40 g1 #3=15 (foo) #4=-7.0", "#4=-7.0 g1 #3=15 g40 (foo)", "(foo)#3=15#4=-7.0g1g40"}) {
    const ProgramLine line = parse_line(text, 1, Values{});
    CHECK(line.words.size() == 2);
    REQUIRE(line.settings.size() == 2);
    for (const ParameterSetting& s : line.settings) CHECK(s.value == (s.index == 3 ? 15 : -7));
  }
}

TEST_CASE("program lines: numbers", "[program]") {
  CHECK(value_of("341") == 341);
  CHECK(value_of("-0.8807") == -0.8807);
  CHECK(value_of("+.5") == 0.5);
  CHECK(value_of("5.") == 5);
  CHECK(value_of("000012.500") == 12.5);
  CHECK(value_of("0.1000000000000000055511151231257827") == 0.1);
  CHECK(error_at("x.") == "3 the value of X should be a number, not the end of the line");
  CHECK(error_at("x1.2.3").substr(0, 2) == "5 ");
  CHECK(error_at("x1e3").substr(0, 2) == "3 ");
  CHECK(error_at("x--1").substr(0, 2) == "3 ");
}

TEST_CASE("program lines: expressions", "[program]") {
  Values v;
  v.held = {{1, 4}, {2, 1}, {3, 2}, {4, 3}, {7, -2}};
  CHECK(value_of("#1", v) == 4);
  CHECK(value_of("##2", v) == 4);     // the parameter whose number is in parameter 2
  CHECK(value_of("[#1+2]", v) == 6);  // # before +: not parameter 3
  CHECK(value_of("#[1+2]", v) == 2);
  CHECK(value_of("##[#4]", v) == v.held[2]);
  // [1+acos[0]-[#3**[4.0/2]]] with #3 = 2: 1 + 90 - 4. The expression is the report's own.
  CHECK(value_of("[1 + acos[0] - [#3 ** [4.0/2]]]", v) == Approx(87).margin(1e-12));
  // "2.0 / 3 * 1.5 - 5.5 / 11.0" is 0.5 by precedence (the report's example).
  CHECK(value_of("[2.0 / 3 * 1.5 - 5.5 / 11.0]") == Approx(0.5).margin(1e-15));
  CHECK(value_of("[2**3**2]") == 64);  // equal precedence: from the left
  CHECK(value_of("[2*3**2]") == 18);
  CHECK(value_of("[10-4-3]") == 3);
  CHECK(value_of("[1 + 2 * 3]") == 7);
  CHECK(value_of("[[1 + 2] * 3]") == 9);
  CHECK(value_of("[7 mod 4]") == 3);
  CHECK(value_of("[-7 mod 4]") == 1);  // never negative
  CHECK(value_of("[1 or 0]") == 1);
  CHECK(value_of("[2 and 0]") == 0);
  CHECK(value_of("[2 and -3.5]") == 1);  // any number but zero is true
  CHECK(value_of("[2 xor 3]") == 0);
  CHECK(value_of("[0 xor 3]") == 1);
  CHECK(value_of("[1 - 1 or 1]") == 1);  // OR stands with + and -
  CHECK(value_of("[1 or 1 - 1]") == 0);
  CHECK(value_of("[1 - -2]") == 3);
}

TEST_CASE("program lines: functions", "[program]") {
  CHECK(value_of("atan[1]/[1]") == Approx(45));
  CHECK(value_of("ATAN[1]/[-1]") == Approx(135));
  CHECK(value_of("atan[-1]/[-1]") == Approx(-135));
  CHECK(value_of("sin[90]") == Approx(1));
  CHECK(value_of("cos[60]") == Approx(0.5));
  CHECK(value_of("tan[45]") == Approx(1));
  CHECK(value_of("asin[0.5]") == Approx(30));
  CHECK(value_of("acos[-1]") == Approx(180));
  CHECK(value_of("abs[-3]") == 3);
  CHECK(value_of("sqrt[2]") == std::sqrt(2.0));
  CHECK(value_of("exp[1]") == std::exp(1.0));
  CHECK(value_of("ln[exp[2]]") == Approx(2));
  CHECK(value_of("round[2.5]") == 3);
  CHECK(value_of("round[-2.4]") == -2);
  // FIX goes left on the number line, FUP right (the report's examples).
  CHECK(value_of("fix[2.8]") == 2);
  CHECK(value_of("fix[-2.8]") == -3);
  CHECK(value_of("fup[2.8]") == 3);
  CHECK(value_of("fup[-2.8]") == -2);
  CHECK(value_of("sin[30] ") == Approx(0.5));
  CHECK(error_at("xacos[2]") == "2 ACOS of 2: it takes -1 to 1");
  CHECK(error_at("xsqrt[0-1]") == "2 SQRT of -1: it takes numbers from zero up");
  CHECK(error_at("xln[0]") == "2 LN of 0: it takes numbers above zero");
  CHECK(error_at("x[1/0]") == "4 division by zero: the value on the right must not be zero");
  CHECK(error_at("x[1 mod 0]") == "5 MOD by zero: the value on the right must not be zero");
  CHECK(error_at("x[[0-8]**[1/3]]").substr(0, 2) == "8 ");
  CHECK(error_at("xatan[1]") == "9 ATAN takes two arguments: write ATAN[y]/[x]");
  CHECK(error_at("xexp[1000]") == "2 the result is too large for a number");
  CHECK(error_at("x-sin[30]") == "2 a sign stands before a number only: write [0 - ...]");
  CHECK(error_at("xfoo[1]").substr(0, 2) == "2 ");
}

TEST_CASE("program lines: comments and messages", "[program]") {
  const ProgramLine plain = parse_line("g80 m5 (stop motion)", 1, Values{});
  CHECK(plain.words.size() == 2);
  CHECK_FALSE(plain.message);
  const ProgramLine told = parse_line("( M s g , Turn the sheet)", 3, Values{});
  REQUIRE(told.message);
  CHECK(*told.message == "Turn the sheet");
  CHECK(*parse_line("(msg, gr\xF6\xDF"
                    "er)",
                    1, Values{})
             .message == "gr??er");  // not UTF-8
  // Only the last comment acts.
  CHECK_FALSE(parse_line("(msg, one)(two)", 1, Values{}).message);
  CHECK(*parse_line("(one)(msg, two)", 1, Values{}).message == "two");
  CHECK_FALSE(parse_line("(note msg, three)", 1, Values{}).message);
  const ProgramLine tail = parse_line("g1 x3 ; to the end (and past it", 1, Values{});
  CHECK(tail.words.size() == 2);
  REQUIRE(tail.semicolon);
  CHECK(tail.semicolon->column == 7);
  CHECK(error_at("g1 (open") == "4 this comment is not closed: put ) before the line's end");
  CHECK(error_at("(one (two))").substr(0, 2) == "6 ");
  CHECK(error_at("g1 )") == "4 this parenthesis closes no comment: remove it");
  CHECK(error_at("x(foo)3").substr(0, 2) == "2 ");
}

TEST_CASE("program lines: limits", "[program]") {
  CHECK(parse_line(std::string(256, ' '), 1, Values{}).words.empty());
  CHECK(error_at("(" + std::string(254, 'x') + ")").empty());
  CHECK(error_at("(" + std::string(255, 'x') + ")").substr(0, 4) == "257 ");
  CHECK(error_at("n123456").substr(0, 2) == "2 ");
  CHECK(error_at("n-1").substr(0, 2) == "2 ");
  CHECK(*parse_line("n99999", 1, Values{}).number == 99999);
  CHECK(error_at("#5400=1").substr(0, 2) == "2 ");
  CHECK(error_at("#0=1").substr(0, 2) == "2 ");
  CHECK(error_at("#1.5=1").substr(0, 2) == "2 ");
  CHECK(error_at("#5399.00005=1").empty());
  const std::string open(kMaxDepth, '['), shut(kMaxDepth, ']');
  CHECK(error_at("x" + open + "1" + shut).empty());
  CHECK(error_at("x[" + open + "1" + shut + "]").find("within one another") != std::string::npos);
  CHECK(error_at("x" + std::string(200, '#') + "1").find("within one another") != std::string::npos);
}
