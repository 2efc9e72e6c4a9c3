#include "sim/shop/compare.hpp"

#include <catch2/catch.hpp>
#include <string>

#include "sim/path/move_index.hpp"

using namespace ovolo;

namespace {

/// A made-up outcome with one edge operation.
struct Outcome {
  Job job;
  Measures measures;
  ShopEstimate shop;

  Outcome(double mark, double index, double cost) {
    job.operations.resize(2);
    measures.edges.resize(1);
    measures.edges[0].lip = Stat{0, 0, 0.004, {}};
    PassLoad edge, cut_out;
    edge.chip_load = mark;
    edge.high_chip = mark + 0.02;
    edge.feed = edge.spindle = 1;
    edge.section.max = 5;
    edge.index = {index / 2, index, 2 * index};
    cut_out.operation = 1;
    cut_out.index = {500, 500, 500};
    shop.loads = {edge, cut_out};
    shop.edges.resize(1);
    shop.edges[0].marks.tallest = mark;
    shop.edges[0].marks.marks_per_inch = 100;
    Cost c;
    c.part.total = {cost, cost, cost};
    shop.cost = c;
  }
};

StrategyComparison compare_all(const std::vector<Outcome>& outcomes) {
  std::vector<Candidate> all;
  for (std::size_t i = 0; i < outcomes.size(); ++i)
    all.push_back({std::string(1, static_cast<char>('A' + i)), outcomes[i].job, outcomes[i].measures,
                   outcomes[i].shop});
  return compare(all);
}

bool said(const StrategyComparison& c, const std::string& part) {
  for (const std::string& reason : c.reasons)
    if (reason.find(part) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("strategies are ranked by marks, tip and cost, each with its reason", "[shop]") {
  const StrategyComparison c = compare_all({{0.006, 18, 3.0}, {0.002, 11, 3.7}});
  CHECK(c.finish.places == std::vector<std::vector<std::size_t>>{{1}, {0}});
  CHECK(c.tip.places == std::vector<std::vector<std::size_t>>{{1}, {0}});
  CHECK(c.cost.places == std::vector<std::vector<std::size_t>>{{0}, {1}});
  CHECK(c.figures[0].tip_index->value == 18);  // the cut-out's bit does not count
  CHECK(c.figures[0].passes == 1);
  CHECK(said(c,
             "Finish: 'B' is best: its feed marks stand 2.0 um (0.08 thou) high where those of 'A' stand 6.0 "
             "um (0.24 thou)"));
  CHECK(said(c, "Tip: 'B' is best: bent to 11.0 % of its strength where 'A' bends it to 18.0 %"));
  CHECK(said(c, "Cost: 'A' is best: 3.00 a part"));
}

TEST_CASE("small differences between strategies are not ranked", "[shop]") {
  const StrategyComparison c = compare_all({{0.0021, 11.3, 3.05}, {0.002, 11, 3.0}});
  CHECK_FALSE(c.finish.decided());
  CHECK_FALSE(c.tip.decided());
  CHECK_FALSE(c.cost.decided());
  CHECK(said(c, "Finish: no difference that matters"));
  const StrategyComparison three = compare_all({{0.0021, 11.3, 3.05}, {0.002, 11, 3.0}, {0.009, 30, 9}});
  CHECK(said(three, "Finish: 'A' and 'B' are equally good"));
}

TEST_CASE("an edge beyond the wishes comes last in finish, however low its marks", "[shop]") {
  std::vector<Outcome> outcomes{{0.0005, 10, 3}, {0.006, 10, 3}};
  outcomes[0].measures.verdict.good = false;
  const StrategyComparison c = compare_all(outcomes);
  CHECK(c.finish.places == std::vector<std::vector<std::size_t>>{{1}, {0}});
  CHECK(said(c, "the edges of 'A' are not within the wishes"));
}

TEST_CASE("parts that must be recut are not cheap", "[shop]") {
  std::vector<Outcome> outcomes{{0.006, 10, 1}, {0.006, 10, 3}};
  outcomes[0].shop.edges[0].sanding.worst = SandClass::recut;
  CHECK(compare_all(outcomes).cost.places == std::vector<std::vector<std::size_t>>{{1}, {0}});
  CHECK(said(compare_all(outcomes), "parts cut as 'A' must be recut"));
  outcomes[0].shop.edges[0].sanding.worst = SandClass::touch;
  CHECK(compare_all(outcomes).cost.places.front() == std::vector<std::size_t>{0});
  outcomes[0].shop.edges[0].sanding.beyond = {"Cut too deep"};
  CHECK(compare_all(outcomes).cost.places.front() == std::vector<std::size_t>{1});
}

TEST_CASE("what is not known is not ranked first", "[shop]") {
  std::vector<Outcome> outcomes{{0.006, 10, 3}, {0.006, 10, 3}};
  outcomes[0].shop.cost.reset();
  outcomes[0].shop.loads[0].spindle = 0;
  const StrategyComparison c = compare_all(outcomes);
  CHECK(c.cost.places.front() == std::vector<std::size_t>{1});
  CHECK(c.tip.places.front() == std::vector<std::size_t>{1});
  CHECK_FALSE(c.figures[0].part);
  CHECK(compare({}).reasons.empty());
}

TEST_CASE("where nothing can be ranked the reason says why", "[shop]") {
  std::vector<Outcome> outcomes{{0.006, 10, 3}, {0.002, 20, 4}};
  for (Outcome& o : outcomes) {
    o.measures.verdict.good = false;
    o.shop.edges[0].sanding.worst = SandClass::recut;
  }
  const StrategyComparison c = compare_all(outcomes);
  CHECK(said(c, "Finish: not ranked, no edge is within the wishes."));
  CHECK(said(c, "Cost: not ranked, the parts must be recut."));
  CHECK(said(c, "Tip: 'A' is best"));
}
