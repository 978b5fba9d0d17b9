// SPDX-License-Identifier: GPL-3.0-or-later
// What the kernel keeps for the whole process is no business of ours once a function has returned.
#include <gtest/gtest.h>

#include <Interface_Static.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <XSAlgo.hxx>
#include <XSAlgo_AlgoContainer.hxx>

#include "engine/quantity/error.hpp"
#include "engine/solid/parts.hpp"
#include "exporters/step/step.hpp"

namespace peepwright {
namespace {

TEST(StepSettings, OfTheProcessAreAfterwardsWhatTheyWere) {
  STEPCAFControl_Controller::Init();
  const opencascade::handle<XSAlgo_AlgoContainer> own = new XSAlgo_AlgoContainer;
  XSAlgo::SetAlgoContainer(own);
  Interface_Static::SetCVal("write.step.schema", "AP203");
  Interface_Static::SetIVal("write.stepcaf.subshapes.name", 0);
  Interface_Static::SetIVal("write.surfacecurve.mode", 1);
  const auto expect_own = [&] {
    EXPECT_EQ(XSAlgo::AlgoContainer(), own);
    EXPECT_STREQ(Interface_Static::CVal("write.step.schema"), "AP203");
    EXPECT_EQ(Interface_Static::IVal("write.stepcaf.subshapes.name"), 0);
    EXPECT_EQ(Interface_Static::IVal("write.surfacecurve.mode"), 1);
  };
  const std::vector<solid::Part> parts{{"rod", {0.5, 0.5, 0.5}, solid::rod_solid({{0, 0, 0}, {10, 0, 0}, 2}), {}, {}}};
  const std::string text = step_text(parts);
  expect_own();
  check_step(text, parts);
  expect_own();
  // No assembly at all: reading it is given up half-way.
  const std::string empty = text.substr(0, text.find("DATA;")) + "DATA;\nENDSEC;\nEND-ISO-10303-21;\n";
  EXPECT_THROW(check_step(empty, parts), Error);
  expect_own();
}

}  // namespace
}  // namespace peepwright
