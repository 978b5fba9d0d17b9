// SPDX-License-Identifier: GPL-3.0-or-later
// A damaged scan of a head that is known: what comes out must be that head again.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "engine/clearance/on_solids.hpp"
#include "engine/fit/budget.hpp"
#include "engine/scan/clean_mesh.hpp"
#include "engine/scan/head_scan.hpp"
#include "engine/scan/scan_surface.hpp"
#include "exporters/mesh/mesh_export.hpp"
#include "tests/engine/scan_sample.hpp"

namespace peepwright::scan {
namespace {

using namespace solid;
using test::person;
using testing::HasSubstr;

const Face& true_face() {
  static const Face face = make_face(person());
  return face;
}

std::filesystem::path folder() {
  static const auto path = [] {
    auto p = std::filesystem::temp_directory_path() / fmt::format("peepwright-scan-{}", ::getpid());
    std::filesystem::create_directories(p);
    return p;
  }();
  return path;
}

std::string written(const std::string& name, const std::string& bytes) {
  const std::string path = (folder() / name).string();
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

/// A spec of the same bow, its archer known by a scan alone.
Spec scanned_spec(const std::string& file, const Pose& axes = test::scanner_pose()) {
  Spec spec = person();
  spec.forget(Key::face_percentile);
  spec.forget(Key::face_mouth_width);
  spec.scan = ScanSource{"head", file, 1, test::picked(true_face(), axes), {}};
  return spec;
}

Rod moved(const Rod& rod, const Pose& pose) { return {pose(rod.from), pose(rod.to), rod.radius_mm}; }

Pose after(const Pose& second, const Pose& first) {
  Pose out;
  for (std::size_t r = 0; r < 3; ++r)
    for (std::size_t c = 0; c < 3; ++c) {
      out.rotation[r][c] = 0;
      for (std::size_t k = 0; k < 3; ++k) out.rotation[r][c] += second.rotation[r][k] * first.rotation[k][c];
    }
  out.position = second(first.position);
  return out;
}

/// Rods as they come to a face: beside it, touching, pressed in, end first.
std::vector<std::pair<Rod, FacePatch>> probes() {
  using enum Landmark;
  const Face& f = true_face();
  std::vector<std::pair<Rod, FacePatch>> out;
  const Point3 nose = f.at(pronasale), corner = mirrored(f.at(cheilion)), hollow = f.at(sublabiale);
  for (const double off : {12.0, 4.0, 1.0, 0.0, -1.5}) {
    const Point3 at_nose = nose + Point3{off, -2, 0}, at_corner = corner + Point3{off, -0.5 * off, 0},
                 at_hollow = hollow + Point3{off + 2.75, 0, 0};
    out.push_back({{at_nose + Point3{-60, 20, -180}, at_nose + Point3{100, -40, 300}, 1.2}, FacePatch::nose});
    out.push_back(
        {{at_corner + Point3{-10, -5, -40}, at_corner + Point3{15, -8, 60}, 1.4}, FacePatch::right_mouth_corner});
    out.push_back({{at_hollow + Point3{0, 60, 0}, at_hollow + Point3{0, -600, 0}, 2.75}, FacePatch::chin});
    out.push_back({{at_corner + Point3{off, -6 - off, 4}, at_corner + Point3{30, -40, 10}, 3.5}, FacePatch::whole});
  }
  return out;
}

TEST(ScanSurface, AgreesWithTheParametricHead) {
  const ScanSurface scan(true_face(), test::sampled_head(true_face(), 360, 340));
  const HeadModel head(true_face());
  int pressed = 0, apart = 0;
  for (const auto& [rod, patch] : probes()) {
    const Contact a = scan.to(rod, patch), b = head.to(rod, patch);
    // Chords of triangles a millimetre long stand off the skin by a few hundredths where it bends sharply.
    EXPECT_NEAR(a.distance_mm, b.distance_mm, 0.08) << int(patch);
    EXPECT_NEAR(a.distance_mm, a.distance_mm < 0 ? -norm(a.on_body - a.on_skin) : norm(a.on_body - a.on_skin), 1e-9);
    (b.distance_mm < 0 ? pressed : apart)++;
  }
  EXPECT_GE(pressed, 4);
  EXPECT_GE(apart, 8);
}

TEST(ScanSurface, AsksForClosedMeshesWithAFace) {
  TriangleMesh far = test::sampled_head(true_face(), 96, 90);
  for (Point3& v : far.vertices) v.x -= 500;
  EXPECT_THROW(ScanSurface(true_face(), far), Error);
}

TEST(HeadScan, OfADamagedHeadMeasuresAsTheUndamagedOne) {
  TriangleMesh mesh = test::sampled_head(true_face());
  const Face& f = true_face();
  const double neck = 0.98 * mesh.bounds().low.z;
  test::cut_away(mesh, [&](const Point3& p) { return p.z < neck; });       // the neck stays open
  test::cut_hole(mesh, f.at(Landmark::pronasale) + Point3{-6, -9, 4}, 5);  // under the wing of the nose
  test::cut_hole(mesh, f.at(Landmark::cheilion) + Point3{-3, 9, -8}, 7);
  test::cut_hole(mesh, {-90, 0, 105}, 30);  // the crown, never seen
  test::add_noise(mesh, 0.05, 7);
  test::add_ball(mesh, {60, 120, -40}, 18);  // a second piece
  for (std::size_t i = 0; i < mesh.triangles.size(); i += 3) std::swap(mesh.triangles[i][1], mesh.triangles[i][2]);
  mesh = test::placed(std::move(mesh), test::scanner_pose());

  Spec spec = scanned_spec(written("damaged.ply", test::as_ply(mesh)));
  const auto scan = take_scan(spec);
  ASSERT_TRUE(scan);
  EXPECT_EQ(not_closed(scan->surface->mesh()), "");
  ASSERT_EQ(scan->notes.size(), 1u);
  for (const char* word : {"1 loose piece", "turned outward", "4 hole(s)"})
    EXPECT_THAT(scan->notes[0], HasSubstr(word));

  // Where the scan lies: the pupils where they were picked, turned by no more than faces differ.
  const Pose there = after(scan->placement, test::scanner_pose());
  EXPECT_LT(norm(there(f.at(Landmark::pupil)) - f.at(Landmark::pupil)), 1);
  EXPECT_LT(norm(there({0, 0, 0})), 1e-9);

  const HeadModel head(f);
  double worst = 0;
  for (const auto& [rod, patch] : probes()) {
    const double gap = scan->surface->to(moved(rod, there), patch).distance_mm;
    worst = std::max(worst, std::abs(gap - head.to(rod, patch).distance_mm));
  }
  RecordProperty("worst_um", int(1000 * worst));
  EXPECT_LT(worst, 0.15);  // noise of 0.05 mm, chords of 1.5 mm, patches over holes of 5 and 7 mm beside the probes

  // Measures as callipers would read them on the person.
  EXPECT_NEAR(spec.value(Key::face_mouth_width), 55, 1e-6);
  EXPECT_NEAR(spec.value(Key::face_head_length), f.head_length_mm, 1);
  EXPECT_NEAR(spec.value(Key::face_head_breadth), f.head_breadth_mm, 1);
  EXPECT_NEAR(spec.value(Key::face_face_length), f.face_length_mm, 1e-6);
  const Face fitted = make_face(spec);
  EXPECT_EQ(fitted.origin(Landmark::cheilion), LandmarkOrigin::measured);
  EXPECT_EQ(fitted.origin(Landmark::glabella), LandmarkOrigin::moved_with_measured);

  // The whole job: the same mark as for the person whose measures are all known.
  const double known = solve_fit(person()).core.mark_mm, by_scan = solve_fit(spec).core.mark_mm;
  EXPECT_NEAR(by_scan, known, 0.2);
}

TEST(HeadScan, ReadsEveryKindAndUnitAlike) {
  const TriangleMesh mesh = test::placed(test::sampled_head(true_face(), 120, 110), test::scanner_pose());
  std::vector<double> widths;
  const struct {
    std::string name, bytes;
    double unit_mm;
  } files[] = {{"a.ply", test::as_ply(mesh), 1},
               {"a-text.PLY", test::as_ply(mesh, false), 1},
               {"a.stl", test::as_stl(mesh), 1},
               {"a.obj", test::as_obj(mesh), 1},
               {"m.obj", test::as_obj(test::scaled(mesh, 1e-3)), 1000},
               {"in.stl", test::as_stl(test::scaled(mesh, 1 / unit::inch_mm)), unit::inch_mm}};
  for (const auto& file : files) {
    SCOPED_TRACE(file.name);
    Spec spec = scanned_spec(written(file.name, file.bytes));
    spec.scan->unit_mm = file.unit_mm;
    const auto scan = take_scan(spec);
    EXPECT_NEAR(scan->size.length, true_face().head_length_mm, 1);
    widths.push_back(scan->surface->to({{60, 0, 50}, {60, 0, -300}, 2}, FacePatch::nose).distance_mm);
    EXPECT_NEAR(widths.back(), widths.front(), 0.02);
  }
}

TEST(HeadScan, GivesTheMeasuresThatItsLandmarksAllow) {
  const TriangleMesh mesh = test::placed(test::sampled_head(true_face(), 120, 110), test::scanner_pose());
  Spec whole = scanned_spec(written("gives.ply", test::as_ply(mesh))), few = whole;
  std::erase_if(few.scan->marks, [](const ScanMark& m) { return m.name == "pogonion" || m.name == "menton"; });
  for (Spec* spec : {&whole, &few}) {
    ASSERT_TRUE(take_scan(*spec));
    for (const KeyInfo& row : all_keys())
      if (row.path.starts_with("archer.face.")) {
        EXPECT_EQ(spec->given(row.key), spec->scan->gives(row.key)) << row.path;
      }
  }
  EXPECT_TRUE(whole.scan->gives(Key::face_face_length));
  EXPECT_FALSE(few.scan->gives(Key::face_face_length));
}

TEST(HeadScan, AnUncertaintyThatAPersonGaveItIsInTheBudget) {
  const TriangleMesh mesh = test::placed(test::sampled_head(true_face(), 120, 110), test::scanner_pose());
  const Spec plain = scanned_spec(written("unsure.ply", test::as_ply(mesh)));
  const auto line_of = [](Spec spec) {
    (void)take_scan(spec);
    for (const BudgetLine& line : mark_budget(spec, solve_core(spec)).lines)
      if (line.input == "archer.face.nose_tip_below_eye") return line;
    return BudgetLine{};
  };
  Spec unsure = plain;
  unsure.set_uncertainty(Key::face_nose_tip_below_eye, 3, true);
  const BudgetLine usual = line_of(plain), wide = line_of(unsure);
  EXPECT_DOUBLE_EQ(usual.standard_uncertainty, info_of(Key::face_nose_tip_below_eye).measured_uncertainty);
  EXPECT_DOUBLE_EQ(wide.standard_uncertainty, 3);
  EXPECT_GT(std::abs(wide.contribution_mm), 2 * std::abs(usual.contribution_mm));
}

TEST(HeadScan, OfALeftHandedArcherIsMirrored) {
  const TriangleMesh mesh = test::placed(test::sampled_head(true_face(), 120, 110), test::scanner_pose());
  Spec right = scanned_spec(written("hand.ply", test::as_ply(mesh))), left = right;
  left.hand = Hand::left;
  const auto a = take_scan(right), b = take_scan(left);
  // The head is symmetric, so both hands measure the same.
  const Rod string{{30, -20, -200}, {90, -28, 120}, 1.2};
  EXPECT_NEAR(a->surface->to(string, FacePatch::nose).distance_mm, b->surface->to(string, FacePatch::nose).distance_mm,
              0.02);
  EXPECT_GT(b->surface->mesh().volume_mm3(), 0);
  EXPECT_NEAR(solve_fit(right).core.mark_mm, solve_fit(left).core.mark_mm, 1e-6);
}

TEST(HeadScan, GoesIntoClearancesAndMeshFiles) {
  Spec spec = scanned_spec(
      written("use.ply", test::as_ply(test::placed(test::sampled_head(true_face()), test::scanner_pose()))));
  const auto scan = take_scan(spec);
  const Fit fit = solve_fit(spec);
  const HeadModel head(fit.core.face, scan->surface), without(fit.core.face);
  const auto by_scan = clearances_on_solids(fit, head), by_shape = clearances_on_solids(fit, without);
  ASSERT_EQ(by_scan.size(), by_shape.size());
  for (std::size_t i = 0; i < by_scan.size(); ++i) {
    EXPECT_EQ(by_scan[i].name, by_shape[i].name);
    // The parametric head of the picked landmarks is not the person's everywhere.
    EXPECT_NEAR(by_scan[i].distance_mm, by_shape[i].distance_mm, 1.0) << by_scan[i].name;
  }
  for (const bool right_handed : {true, false}) {
    AssemblyInput in = assembly_of(fit);
    in.right_handed = right_handed;
    const auto meshes = meshes_of(assembly_parts(head, in));
    ASSERT_EQ(meshes[0].name, "head");
    EXPECT_EQ(meshes[0].mesh.triangles.size(), scan->surface->mesh().triangles.size());
    EXPECT_NEAR(meshes[0].mesh.volume_mm3(), scan->surface->mesh().volume_mm3(), 1);
    EXPECT_NO_THROW(check_glb(glb_bytes(meshes), meshes));
    EXPECT_NO_THROW(check_threemf(threemf_bytes(meshes), meshes));
  }
}

TEST(CleanMesh, MendsVerticesOutOfPlace) {
  TriangleMesh mesh = test::sampled_head(true_face(), 120, 110);
  // Vertices of the cheek out of place by more than a triangle: folds that cross.
  int pulled = 0;
  for (Point3& v : mesh.vertices)
    if (norm(v - true_face().at(Landmark::zygion)) < 9)
      v = v + Point3{9.0 * (pulled % 2), pulled % 3 - 1.0, -7.0 * (pulled % 4 == 1)}, ++pulled;
  ASSERT_GT(pulled, 4);
  const CleanMesh clean = clean_mesh(mesh, {}, "fold");
  EXPECT_EQ(not_closed(clean.mesh), "");
  EXPECT_GT(clean.repairs.most_evened, 0u);
  EXPECT_EQ(clean_mesh(clean.mesh, {}, "again").repairs.in_words(), "");
}

TEST(CleanMesh, CutsOutWhatEveningCannotMend) {
  TriangleMesh mesh = test::sampled_head(true_face(), 240, 220);
  // A patch of the cheek twisted by half a turn: its rim is a knot.
  const Point3 c = true_face().at(Landmark::zygion);
  for (Point3& v : mesh.vertices)
    if (norm(v - c) < 12) v = {2 * c.x - v.x, v.y, 2 * c.z - v.z};
  const CleanMesh clean = clean_mesh(mesh, {}, "twisted");
  EXPECT_EQ(not_closed(clean.mesh), "");
  EXPECT_GT(clean.repairs.crossings_removed, 0u);
  EXPECT_GT(clean.repairs.holes_filled, 0u);
  EXPECT_THAT(clean.repairs.in_words(), HasSubstr("cut out"));
}

TEST(CleanMesh, EvensOutTheFoldsOfNoise) {
  TriangleMesh mesh = test::sampled_head(true_face(), 240, 220);
  test::add_noise(mesh, 0.3, 5);  // a third of a cell on the face
  const CleanMesh clean = clean_mesh(mesh, {}, "noise");
  EXPECT_EQ(not_closed(clean.mesh), "");
  EXPECT_GT(clean.repairs.most_evened, 10u);
  const ScanSurface scan(true_face(), clean.mesh);
  const HeadModel head(true_face());
  double worst = 0;
  for (const auto& [rod, patch] : probes())
    worst = std::max(worst, std::abs(scan.to(rod, patch).distance_mm - head.to(rod, patch).distance_mm));
  EXPECT_LT(worst, 1.0);  // three times the noise: the nearest of many vertices is one that noise brought nearer
}

TEST(CleanMesh, AnyDamageIsMendedOrRefused) {
  int mended = 0;
  for (std::uint32_t seed = 1; seed <= 40; ++seed) {
    SCOPED_TRACE(seed);
    std::mt19937 random(seed);
    TriangleMesh mesh = test::sampled_head(true_face(), 30 + random() % 50, 30 + random() % 40);
    const auto any = [&] { return std::uint32_t(random() % mesh.vertices.size()); };
    for (std::uint32_t kind = 0; kind < 6; ++kind) {
      if (random() % 3 != 0) continue;
      for (std::uint32_t k = 0; k < random() % 120; ++k) {
        auto& triangle = mesh.triangles[random() % mesh.triangles.size()];
        if (kind == 0) std::swap(triangle[0], triangle[1]);
        if (kind == 1) triangle = mesh.triangles.back();
        if (kind == 2) mesh.vertices[any()].x += double(random() % 60) - 30;
        if (kind == 3) triangle = {any(), any(), any()};
      }
      if (kind == 4) test::add_ball(mesh, mesh.vertices[any()], 5.0 + double(random() % 20));
      if (kind == 5) test::cut_hole(mesh, mesh.vertices[any()], double(random() % 30));
    }
    try {
      const CleanMesh clean = clean_mesh(mesh, {}, "damaged");
      EXPECT_EQ(not_closed(clean.mesh), "");
      EXPECT_GT(clean.mesh.volume_mm3(), 2e6);
      ++mended;
    } catch (const Error& e) {
      EXPECT_EQ(e.code(), ErrorCode::input) << e.what();
    }
  }
  EXPECT_GT(mended, 20);
}

TEST(CleanMesh, TurnsAnInsideOutHead) {
  TriangleMesh mesh = test::sampled_head(true_face(), 96, 90);
  for (auto& t : mesh.triangles) std::swap(t[0], t[1]);
  ASSERT_LT(mesh.volume_mm3(), 0);
  const CleanMesh clean = clean_mesh(mesh, {}, "inside out");
  EXPECT_GT(clean.mesh.volume_mm3(), 0);
  EXPECT_TRUE(clean.repairs.turned);
}

}  // namespace
}  // namespace peepwright::scan
