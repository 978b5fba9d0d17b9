// SPDX-License-Identifier: GPL-3.0-or-later
// Scans that are none: each is refused with a sentence that names the file or key and says what to do.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "engine/scan/clean_mesh.hpp"
#include "engine/scan/head_scan.hpp"
#include "engine/scan/read_mesh.hpp"
#include "tests/engine/scan_sample.hpp"
#include "tests/shared/refusal.hpp"

namespace peepwright::scan {
namespace {

using namespace solid;
using test::refusal;
using testing::HasSubstr;

const Face& true_face() {
  static const Face face = make_face(test::person());
  return face;
}

std::string refused_bytes(const std::string& name, const std::string& bytes) {
  return refusal([&] { parse_mesh(name, bytes, 1); });
}

const TriangleMesh& small_head() {
  static const TriangleMesh mesh = test::placed(test::sampled_head(true_face(), 60, 56), test::scanner_pose());
  return mesh;
}

std::string ply(const std::string& elements, const std::string& data = "0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n") {
  return "ply\nformat ascii 1.0\n" + elements + "end_header\n" + data;
}

const std::string three = "element vertex 3\nproperty float x\nproperty float y\nproperty float z\n";
const std::string one_face = "element face 1\nproperty list uchar int vertex_indices\n";

TEST(ScanFiles, OneThatCannotBeReachedIsNotSaidToBeMissing) {
  const auto said = [](const std::string& file) { return refusal([&] { (void)read_mesh(file, 1); }); };
  const std::string link = testing::TempDir() + "peepwright-leads-to-itself.ply";
  std::filesystem::remove(link);
  std::filesystem::create_symlink(link, link);
  EXPECT_THAT(said(link),
              HasSubstr("cannot be used as a scan: it cannot be reached: Too many levels of symbolic links"));
  std::filesystem::remove(link);
  EXPECT_THAT(said(link), HasSubstr("cannot be used as a scan: there is no such file"));
}

TEST(ScanFiles, AGoodOneIsRead) { EXPECT_EQ(parse_mesh("a.ply", ply(three + one_face), 10).triangles.size(), 1u); }

TEST(ScanFiles, HeadersThatLieAreNotBelieved) {
  EXPECT_THAT(
      refused_bytes("a.ply",
                    ply("element vertex 18446744073709551615\nproperty float x\nproperty float y\nproperty float z\n" +
                        one_face)),
      HasSubstr("more than the file holds"));
  EXPECT_THAT(refused_bytes("a.ply", ply("element vertex 99999999999999999999999\nproperty float x\n" + one_face)),
              HasSubstr("line 3"));
  EXPECT_THAT(refused_bytes("a.ply", ply("element stuff 4000000000\n" + three + one_face)), HasSubstr("stuff"));
  EXPECT_THAT(refused_bytes("a.ply", ply(three + "element face 1\nproperty list int int vertex_indices\n",
                                         "0 0 0\n1 0 0\n0 1 0\n2000000000 0 1 2\n")),
              HasSubstr("uchar"));
  EXPECT_THAT(refused_bytes("a.ply", ply(three + "element face 1\nproperty list char int vertex_indices\n",
                                         "0 0 0\n1 0 0\n0 1 0\n-3 0 1 2\n")),
              HasSubstr("damaged"));
  EXPECT_THAT(
      refused_bytes("a.ply", ply("element vertex 3\nproperty int x\nproperty int y\nproperty int z\n" + one_face)),
      HasSubstr("float or double"));
  EXPECT_THAT(refused_bytes("a.ply", ply("element vertex 3\nproperty float x\nproperty float y\n" + one_face)),
              HasSubstr("no z"));
  EXPECT_THAT(refused_bytes("a.ply", ply(three)), HasSubstr("mesh it first"));
  EXPECT_THAT(
      refused_bytes("a.ply", ply("element vertex 3\nproperty list uchar float y\nproperty float x\nproperty float y\n"
                                 "property float z\n" +
                                 one_face)),
      HasSubstr("line 6 of its PLY header names a property that is there already"));
  EXPECT_THAT(refused_bytes("a.ply", ply("elephant vertex 3\n" + three + one_face)),
              HasSubstr("line 3 of its PLY header is neither"));
  EXPECT_EQ(
      parse_mesh("a.ply", ply("comment made by hand\nobj_info scanner\n" + three + one_face), 10).triangles.size(), 1u);
  EXPECT_THAT(refused_bytes("a.ply", "ply\nformat ascii 1.0\n" + std::string(100000, 'x')), HasSubstr("no end"));
  EXPECT_THAT(refused_bytes("a.ply", "solid ply\n"), HasSubstr("does not begin"));
  std::string stl = test::as_stl(small_head());
  stl[80] = stl[81] = stl[82] = stl[83] = char(0xff);
  EXPECT_THAT(refused_bytes("a.stl", stl), HasSubstr("damaged"));
}

TEST(ScanFiles, IndicesAndNumbersAreChecked) {
  EXPECT_THAT(refused_bytes("a.ply", ply(three + one_face, "0 0 0\n1 0 0\n0 1 0\n3 0 1 7\n")),
              HasSubstr("vertex 8 of 3"));
  EXPECT_THAT(refused_bytes("a.ply", ply(three + one_face, "0 0 0\n1 0 0\n0 1 0\n3 0 1 -7\n")), HasSubstr("vertex"));
  EXPECT_THAT(refused_bytes("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n"), HasSubstr("vertex 4 of 3"));
  EXPECT_NE(refused_bytes("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -9\n"), "accepted");
  EXPECT_NE(refused_bytes("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 0 0 0\n"), "accepted");
  EXPECT_THAT(refused_bytes("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1e300 0\nf 1 2 3\n"), HasSubstr("kilometre"));
  EXPECT_THAT(refused_bytes("a.obj", "v 0 0 0\nv 1 0 0\n"), HasSubstr("damaged"));
  std::string stl = test::as_stl(small_head());
  const std::uint32_t nan = 0x7fc00000;
  std::memcpy(stl.data() + 84 + 12, &nan, 4);
  EXPECT_THAT(refused_bytes("a.stl", stl), HasSubstr("nan"));
}

TEST(ScanFiles, CutShortOrFlippedNeverBringsItDown) {
  int refused = 0, read = 0;
  std::mt19937 random(11);
  for (const auto& [name, bytes] : {std::pair{"a.stl", test::as_stl(small_head())},
                                    {"a.ply", test::as_ply(small_head())},
                                    {"b.ply", test::as_ply(small_head(), false)},
                                    {"a.obj", test::as_obj(small_head())}}) {
    const auto attempt = [&](const std::string& damaged) {
      (refused_bytes(name, damaged) == "accepted" ? read : refused)++;
    };
    for (int k = 0; k < 24; ++k) attempt(bytes.substr(0, random() % bytes.size()));
    for (int k = 0; k < 24; ++k) {
      std::string damaged = bytes;
      for (int n = 0; n < 1 + k % 4; ++n) damaged[random() % (k % 2 ? 300 : damaged.size())] = char(random());
      attempt(damaged);
    }
  }
  EXPECT_GT(refused, 60);
  EXPECT_GT(read, 10);
}

TEST(ScanFiles, SizesAreBounded) {
  EXPECT_THAT(refused_bytes("a.obj", std::string(largest_scan_bytes + 1, ' ')), HasSubstr("up to 200 MB"));
  std::string many = "v 0 0 0\nv 1 0 0\nv 0 1 0\nf";
  for (std::size_t k = 0; k < most_triangles + 3; ++k) many += " 1";
  EXPECT_THAT(refused_bytes("a.obj", many), HasSubstr("more than 1000000 triangles"));
}

TEST(ScanFiles, TheWrongOnesAreNamed) {
  const std::string folder = std::filesystem::temp_directory_path().string();
  EXPECT_THAT(refusal([&] { read_mesh(folder + "/not-there.ply", 1); }),
              testing::AllOf(HasSubstr("not-there.ply"), HasSubstr("no such file")));
  EXPECT_THAT(refusal([&] { read_mesh("/dev/zero.ply/..", 1); }), HasSubstr("must end in"));
  EXPECT_THAT(refused_bytes("a.step", "ISO"), HasSubstr(".ply, .obj or .stl"));
  EXPECT_THAT(refused_bytes("a.ply", ""), HasSubstr("empty"));
  EXPECT_THAT(refused_bytes("a.stl", std::string(400, 'q')), HasSubstr("damaged"));
}

/// take_scan on a head that `change` has damaged.
std::string refused_scan(const std::function<void(Spec&, TriangleMesh&)>& change, double unit_mm = 1) {
  TriangleMesh mesh = test::sampled_head(true_face(), 96, 90);
  Spec spec = test::person();
  const auto path = std::filesystem::temp_directory_path() / fmt::format("peepwright-hostile-{}.stl", ::getpid());
  spec.scan = ScanSource{"head.stl", path.string(), unit_mm, test::picked(true_face(), {}), {}};
  change(spec, mesh);
  std::ofstream(path, std::ios::binary) << test::as_stl(mesh);
  std::string out = refusal([&] { take_scan(spec); });
  std::filesystem::remove(path);
  return out;
}

TEST(HeadScans, AGoodOneIsTaken) {
  EXPECT_EQ(refused_scan([](Spec&, TriangleMesh&) {}), "accepted");
}

TEST(HeadScans, AWrongUnitIsSeenAndTheRightOneNamed) {
  const auto said = refused_scan([](Spec& spec, TriangleMesh&) {
    for (ScanMark& mark : spec.scan->marks)
      for (double& c : mark.place_mm) c *= 10;  // centimetres that are taken for millimetres
    spec.scan->unit_mm = 10;
  });
  EXPECT_THAT(said, testing::AllOf(HasSubstr("pupils are 6"), HasSubstr("scan_unit = \"mm\"")));
}

TEST(HeadScans, WrongLandmarksAreSeen) {
  EXPECT_THAT(refused_scan([](Spec& spec, TriangleMesh&) {
                for (ScanMark& mark : spec.scan->marks) {
                  if (mark.name.ends_with("_left")) mark.name.replace(mark.name.size() - 4, 4, "right");
                  else if (mark.name.ends_with("_right")) mark.name.replace(mark.name.size() - 5, 5, "left");
                }
              }),
              HasSubstr("changed over"));
  EXPECT_THAT(refused_scan([](Spec& spec, TriangleMesh&) {
                for (ScanMark& mark : spec.scan->marks)
                  if (mark.name == "pronasale") mark.place_mm[2] += 50;
              }),
              testing::AllOf(HasSubstr("pronasale"), HasSubstr("no face")));
  EXPECT_THAT(refused_scan([](Spec& spec, TriangleMesh&) {
                for (ScanMark& mark : spec.scan->marks)
                  if (mark.name == "sublabiale") mark.place_mm[0] += 12;
              }),
              testing::AllOf(HasSubstr("sublabiale"), HasSubstr("off its skin")));
}

TEST(HeadScans, WhatIsNoHeadIsRefusedWithItsSize) {
  EXPECT_THAT(refused_scan([](Spec&, TriangleMesh& mesh) {
                for (Point3& v : mesh.vertices)
                  if (v.x < -60) v.x = -60 + 0.3 * (v.x + 60);
              }),
              testing::AllOf(HasSubstr("not of a head's size"), HasSubstr("140 to 250 mm")));
  EXPECT_THAT(refused_scan([](Spec&, TriangleMesh& mesh) {
                for (Point3& v : mesh.vertices)
                  if (v.z > 0) v.y *= 1 + 0.012 * v.z;
              }),
              HasSubstr("110 to 200 mm broad"));
  // The mask alone.
  EXPECT_THAT(
      refused_scan([](Spec&, TriangleMesh& mesh) { test::cut_away(mesh, [](const Point3& p) { return p.x < -30; }); }),
      HasSubstr("hole"));
}

TEST(HeadScans, WhatCannotBeRepairedIsRefused) {
  EXPECT_THAT(
      refused_scan([](Spec&, TriangleMesh& mesh) { test::cut_hole(mesh, true_face().at(Landmark::pronasale), 40); }),
      testing::AllOf(HasSubstr("hole"), HasSubstr("in the face"), HasSubstr("45 mm")));
  EXPECT_NE(refused_scan([](Spec&, TriangleMesh& mesh) { mesh.triangles.resize(3); }), "accepted");
  // Every vertex somewhere else: nothing but crossings.
  EXPECT_NE(refused_scan([](Spec&, TriangleMesh& mesh) { test::add_noise(mesh, 25, 3); }), "accepted");
  EXPECT_NE(refused_scan([](Spec&, TriangleMesh& mesh) {
              for (Point3& v : mesh.vertices) v.x = 0;
            }),
            "accepted");
}

}  // namespace
}  // namespace peepwright::scan
