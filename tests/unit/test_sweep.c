/* test_sweep.c - sweeps against separate runs and closed forms; the parts of a comparison; what is refused.
 *
 * Contents: 1. cases  2. points against separate runs  3. break-even in closed form  4. grids and all knobs
 *           5. what roots share  6. comparisons  7. refusals
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

#include "engine/plan.h"
#include "whatif/compare.h"
#include "whatif/sweep.h"

/* 1. Cases */

enum { FEW = 9000 };

/* One source: the left gap beside the ostium, a normal distribution; everything else is constant, so that the clearance
 * is the gap less what the tube takes, and all heights put the ostium well below the tube's top. */
static const char one_source[] =
    "{\"format\": \"slimmargin-case-1\", \"case\": \"one\", \"action_line\": 0.3,\n"
    " \"scan\": {\"blooming_mm\": 0.4, \"base_plane\": {\"tilt_sd_deg\": 0, \"level_sd_mm\": 0}, \"centreline_sd_mm\": "
    "0},\n"
    " \"surgical_valve\": {\"leaflet_mount\": \"internal\", \"inner_diameter_mm\": 22, \"ring_give_mm\": 0, "
    "\"eccentricity\": 0,\n"
    "   \"leaflet_thickness_mm\": 0.5, \"leaflet_overhang_mm\": 0},\n"
    " \"implant\": {\"expansion\": \"balloon\", \"nominal_diameter_mm\": 22, \"overexpansion\": 0, "
    "\"frame_height_mm\": 20, \"skirt_height_mm\": 9,\n"
    "   \"implant_depth_mm\": 4, \"flare\": 0, \"canting_sd_deg\": 0, \"offset_sd_mm\": 0},\n"
    " \"coronaries\": {\"left\": {\"azimuth_deg\": 35, \"circle_mm\": 22,\n"
    "   \"ostium_height\": {\"constant\": {\"value\": 9}}, \"ostium_gap\": {\"readings_mm\": {\"A\": [4.6]}, "
    "\"between_reader_sd_mm\": 0.63,\n"
    "   \"repeat_sd_mm\": 0.29, \"bloom_edges\": -1}, \"stj_height\": {\"constant\": {\"value\": 40}}, \"stj_gap\": "
    "{\"constant\": {\"value\": 9}},\n"
    "   \"leaflet_height\": {\"constant\": {\"value\": 15}}}}}";

static sm_run_context context_of(int64_t trials)
{
    return (sm_run_context){.trials = trials, .seed = 7};
}

static sm_status sweep_text(const sm_casefile *f, const char *const *vary, int n, int64_t trials, sm_diag *d,
                            sm_sweep *s)
{
    sm_sweep_ask ask[SM_SWEEP_AXES] = {{0}};
    sm_status status = SM_OK;
    *s = (sm_sweep){0};
    for (int i = 0; status == SM_OK && i < n; i++)
        status = sm_sweep_ask_read(vary[i], d, &ask[i]);
    if (status == SM_OK)
        status = sm_sweep_run(f, ask, n, context_of(trials), d, s);
    for (int i = 0; i < n; i++)
        sm_sweep_ask_destroy(&ask[i]);
    return status;
}

static void sweep_ok(const sm_casefile *f, const char *vary, int64_t trials, sm_sweep *s)
{
    sm_diag d = {0};
    assert_int_equal(sweep_text(f, &vary, 1, trials, &d, s), SM_OK);
    sm_diag_destroy(&d);
}

static sm_assessment assess(const sm_case *c, int64_t trials)
{
    sm_assessment a;
    assert_int_equal(sm_assess(c, context_of(trials), &a), SM_OK);
    return a;
}

/* 2. Points against separate runs */

static void same_probability(const sm_probability *a, const sm_probability *b)
{
    assert_int_equal(a->n, b->n);
    assert_int_equal(a->k, b->k);
    assert_near(a->probability, b->probability, 0, 0);
    assert_near(a->low, b->low, 0, 0);
    assert_near(a->high, b->high, 0, 0);
}

static void same_crossing(const sm_crossing *a, const sm_crossing *b)
{
    same_probability(&a->event, &b->event);
    same_probability(&a->crowded, &b->crowded);
    same_probability(&a->sealed, &b->sealed);
}

/* Every point of a sweep is what a run of that case alone gives, side by side, to the last trial. */
static void check_points(const sm_casefile *f, const char *vary)
{
    sm_sweep s;
    sm_diag d = {0};
    sweep_ok(f, vary, FEW, &s);
    const sm_knob *knob = &s.axis[0].knob;
    for (int i = 0; i < s.versions.n; i++) {
        sm_casefile *point;
        assert_int_equal(sm_knob_case(f, &knob, &s.axis[0].value[i], 1, &d, &point), SM_OK);
        sm_assessment a = assess(sm_casefile_case(point), FEW);
        same_crossing(&s.versions.at[i].patient, &a.patient);
        for (int k = 0; k < a.n_sides; k++)
            same_crossing(&s.versions.at[i].side[k], &a.side[k].crossing);
        sm_assessment_destroy(&a);
        sm_casefile_destroy(point);
    }
    sm_diag_destroy(&d);
    sm_sweep_destroy(&s);
}

static void points_are_what_separate_runs_give(void **state)
{
    static const char *const vary[] = {"blooming=0.23:0.77:3",
                                       "blooming_times=0.5:1.7:3",
                                       "tilt=1.6:5.9:3",
                                       "cuff_wave=0:0.9:3",
                                       "reader_error=0.6:1.7:3",
                                       "centreline=0.2:0.8:2",
                                       "flare=0:1:2",
                                       "overexpansion=-0.02:0.05:2",
                                       "nominal_diameter=22:26:3",
                                       "implant_depth=2.7:5.3:3",
                                       "stand_off=0.3:1.5:2",
                                       "leaflet_thickness=0.3:2:2",
                                       "canting=0:5:2",
                                       "offset=0:1:2",
                                       "overhang=0:3:2",
                                       "ring_height=1:4:2",
                                       "inner_diameter=21.8:22.9:2",
                                       "left.ostium_gap=4.8:7.1:3",
                                       "right.stj_height=17.3:19.2:2",
                                       "/surgical_valve/post_block_deg=10:25:2",
                                       "/scan/base_plane/placements=1:3:3",
                                       "/coronaries/left/circle_mm=21.5:23.1:2"};
    outcome o = read_demo();
    (void)state;
    for (size_t i = 0; i < sizeof vary / sizeof *vary; i++)
        check_points(o.file, vary[i]);
    outcome_destroy(&o);
}

/* The same with a second look at a gap and SDs that include the plane: both have pilots of their own. */
static void points_with_pilots_are_what_separate_runs_give(void **state)
{
    static const char look[] = "{\"readings_mm\": {\"A\": [5.2]}, \"sd_includes_plane\": true, \"cross_check\": "
                               "{\"modality\": \"fluoroscopy\", "
                               "\"readings_mm\": {\"A\": [5.9]}}}";
    char *written = load("scenarios/demo.json");
    char *in_place = replaced(written, "{\"readings_mm\": {\"A\": [5.7]}, \"bloom_edges\": -1}", look);
    char *profile = load("scenarios/site.json");
    outcome stated = read_with(in_place, profile, NULL, 0);
    (void)state;
    assert_non_null(stated.file);
    check_points(stated.file, "flare=0:1:2");
    check_points(stated.file, "tilt=2:5:2");
    outcome_destroy(&stated);
    free(profile);
    free(written);
    free(in_place);
}

/* Where the case itself lies on the curve, the point is the case. */
static void the_case_itself_is_a_point(void **state)
{
    static const char *const vary[] = {"blooming_times=0.5:1.5:3",  "reader_error=0.5:1.5:3",
                                       "left.ostium_gap=4.7:6.7:3", "nominal_diameter=23.5:25.5:3",
                                       "implant_depth=3:5:3",       "inner_diameter=22:22.6:3",
                                       "centreline=0.2:0.6:3",      "/implant/canting_sd_deg=1:3:3"};
    outcome o = read_demo();
    sm_assessment a = assess(o.c, FEW);
    (void)state;
    for (size_t i = 0; i < sizeof vary / sizeof *vary; i++) {
        sm_sweep s;
        sweep_ok(o.file, vary[i], FEW, &s);
        assert_true(s.axis[0].knob.has_own);
        assert_near(s.axis[0].value[1], s.axis[0].knob.own, 1e-12, 0);
        same_crossing(&s.versions.at[1].patient, &a.patient);
        same_crossing(&s.assessment.patient, &a.patient);
        assert_near(s.versions.at[1].difference.value, 0, 0, 0);
        assert_near(s.versions.at[1].difference.standard_error, 0, 0, 0);
        for (int side = 0; side < a.n_sides; side++)
            assert_near(s.assessment.side[side].output[0].median, a.side[side].output[0].median, 0, 0);
        sm_sweep_destroy(&s);
    }
    sm_assessment_destroy(&a);
    outcome_destroy(&o);
}

/* 3. Break-even in closed form */

/* P(gap + B < 4 + tube) = q: the tube of 22 mm and leaflets no thicker than the reference take what the circle of 22 mm
 * did, so that clearance = reading + blooming + error, and P = Phi((4 - reading - blooming)/s). */
static void break_even_is_the_closed_form(void **state)
{
    outcome o = read_text(one_source);
    const double s = hypot(0.63, 0.29), z = gsl_cdf_ugaussian_Pinv(0.3);
    const struct {
        const char *vary;
        double want;
        bool rises;
    } known[] = {{"blooming=-0:2:9", 4 - 4.6 - z * s, false},
                 {"left.ostium_gap=3:6:6", 4 - 0.4 - z * s, false},
                 {"/limits/ostium_clearance_mm=3:7:7", 4.6 + 0.4 + z * s, true},
                 {"reader_error=0.4:6:8", (4 - 5.0) / (z * s), true}};
    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        sm_sweep sweep;
        const bool scaled = i == 3;
        sweep_ok(o.file, known[i].vary, 200000, &sweep);
        if (i == 0) { /* -0.6 + 0.364 is below 0: no blooming does it */
            assert_true(known[i].want < 0);
            assert_int_equal(sweep.n_even, 0);
            sm_sweep_destroy(&sweep);
            continue;
        }
        assert_int_equal(sweep.n_even, 1);
        assert_true(sweep.even[0].rises == known[i].rises);
        const sm_estimate *at = &sweep.even[0].at;
        assert_near(at->value, known[i].want, 0, 5 * at->standard_error);
        /* the error of x is that of P over the slope, phi(z) / s where P moves with x as with a shift */
        const double density = exp(-z * z / 2) / sqrt(2 * M_PI),
                     slope = scaled ? density * fabs(z) / known[i].want : density / s;
        assert_near(at->standard_error, sqrt(0.3 * 0.7 / 200000) / slope, 0.06, 0);
        sm_sweep_destroy(&sweep);
    }
    outcome_destroy(&o);
}

/* The error of a break-even covers: over seeds its spread is what it says. */
static void break_even_error_is_the_spread_of_repeats(void **state)
{
    enum { REPEATS = 40 };
    outcome o = read_text(one_source);
    double sum = 0, squares = 0, said = 0;
    (void)state;
    for (int i = 0; i < REPEATS; i++) {
        const sm_run_context context = {.trials = 8192, .seed = 100 + (uint64_t)i};
        sm_sweep_ask ask = {.what = (char *)"left.ostium_gap", .from = 3, .to = 6, .steps = 4};
        sm_sweep s;
        sm_diag d = {0};
        assert_int_equal(sm_sweep_run(o.file, &ask, 1, context, &d, &s), SM_OK);
        sum += s.even[0].at.value;
        squares += s.even[0].at.value * s.even[0].at.value;
        said += s.even[0].at.standard_error / REPEATS;
        sm_sweep_destroy(&s);
        sm_diag_destroy(&d);
    }
    const double sd = sqrt((squares - sum * sum / REPEATS) / (REPEATS - 1));
    assert_near(sd / said, 1, 0, 0.4); /* chi with 39 degrees of freedom: 0.114 SD; 3.5 of them */
    assert_near(sum / REPEATS, 4 - 0.4 - gsl_cdf_ugaussian_Pinv(0.3) * hypot(0.63, 0.29), 0, 4 * said / sqrt(REPEATS));
    outcome_destroy(&o);
}

/* A knob that cannot matter says so: the STJ is above everything, so its gap decides nothing. */
static void a_knob_that_does_not_matter_says_so(void **state)
{
    outcome o = read_text(one_source);
    sm_sweep s;
    (void)state;
    sweep_ok(o.file, "left.stj_gap=7:11:5", FEW, &s);
    assert_false(s.moves);
    assert_near(s.range.value, 0, 0, 0);
    assert_int_equal(s.n_even, 0);
    sm_sweep_destroy(&s);
    sweep_ok(o.file, "left.ostium_gap=4:5:5", FEW, &s);
    assert_true(s.moves);
    assert_int_equal(s.low, 4);
    assert_int_equal(s.high, 0);
    sm_sweep_destroy(&s);
    outcome_destroy(&o);
}

/* From 10 to 60 of 100 over 2 mm, the line at 20: z = -1.28155, 0.25335 and -0.84162, so 0.28661 of the way. */
static void a_meeting_lies_by_the_normal_score(void **state)
{
    (void)state;
    const sm_curve_point point[] = {{.x = 1, .p = sm_probability_of(100, 1000)},
                                    {.x = 3, .p = sm_probability_of(600, 1000)},
                                    {.x = 4, .p = sm_probability_of(150, 1000)}};
    sm_meeting m[4];
    assert_int_equal(sm_curve_meetings(point, 3, 0.2, m, 4), 2);
    assert_true(m[0].i == 0 && m[0].rises && m[1].i == 1 && !m[1].rises);
    assert_near(m[0].at.value, 1 + 2 * 0.28661, 2e-5, 0);
    assert_near(m[0].at.standard_error, sqrt(0.16 / 1000) / (0.5 / 2), 1e-12, 0);
    assert_near(m[1].at.standard_error, sqrt(0.16 / 1000) / 0.45, 1e-12, 0);
    assert_int_equal(sm_curve_meetings(point, 3, 0.2, m, 1), 1);
}

/* By more than two standard errors. */
static void a_curve_moves_beyond_its_error(void **state)
{
    (void)state;
    assert_true(sm_curve_moves(&(sm_estimate){0.0221, 0.011}));
    assert_false(sm_curve_moves(&(sm_estimate){0.0219, 0.011}));
}

/* Points 120 degrees apart: a slope has the SD point_sd sqrt(2/3)/R per axis, over the root of the placements. An
 * uneven triangle leans more along one axis than along the other: the mean square of both, (2.2) solved by elimination,
 * computed. */
static void a_tilt_is_what_its_points_make(void **state)
{
    (void)state;
    static const struct {
        const char *plane;
        double tilt;
    } planes[] = {{"\"radius_mm\": 11.5, \"azimuths_deg\": [0, 120, 240], \"point_sd_mm\": 0.7, \"placements\": 4", 0},
                  {"\"radius_mm\": 11.3, \"azimuths_deg\": [10, 95, 251], \"point_sd_mm\": 0.7, \"placements\": 1",
                   3.2323032076375875}};
    for (int i = 0; i < 2; i++) {
        char *text = replaced(one_source, "\"tilt_sd_deg\": 0, \"level_sd_mm\": 0", planes[i].plane);
        const double even = atan(0.7 * sqrt(2.0 / 3) / 11.5 / 2) * (180 / M_PI);
        outcome o = read_text(text);
        sm_diag d = {0};
        sm_knob k;
        assert_int_equal(sm_knob_find(o.file, "tilt", &d, &k), SM_OK);
        assert_true(k.has_own);
        assert_near(k.own, i == 0 ? even : planes[i].tilt, 1e-9, 0);
        sm_knob_destroy(&k);
        sm_diag_destroy(&d);
        outcome_destroy(&o);
        free(text);
    }
}

/* 4. Grids and all knobs */

static void a_grid_is_what_separate_runs_give(void **state)
{
    static const char *const vary[] = {"left.ostium_gap=4.9:6.9:5", "blooming=0.2:0.8:3"};
    outcome o = read_demo();
    sm_sweep s;
    sm_diag d = {0};
    (void)state;
    assert_int_equal(sweep_text(o.file, vary, 2, FEW, &d, &s), SM_OK);
    const sm_knob *knob[] = {&s.axis[0].knob, &s.axis[1].knob};
    for (int i = 0; i < s.versions.n; i += 2) {
        const double value[] = {s.axis[0].value[i % 5], s.axis[1].value[i / 5]};
        sm_casefile *point;
        assert_int_equal(sm_knob_case(o.file, knob, value, 2, &d, &point), SM_OK);
        sm_assessment a = assess(sm_casefile_case(point), FEW);
        same_crossing(&s.versions.at[i].patient, &a.patient);
        sm_assessment_destroy(&a);
        sm_casefile_destroy(point);
    }
    for (int j = 0; j < 3; j++) { /* the contour is on the line, as far as a run of its own can tell */
        sm_meeting m[2];
        assert_int_equal(sm_sweep_meetings(&s, 0, j, m, 2), 1);
        const double value[] = {m[0].at.value, s.axis[1].value[j]};
        sm_casefile *point;
        assert_int_equal(sm_knob_case(o.file, knob, value, 2, &d, &point), SM_OK);
        sm_assessment a = assess(sm_casefile_case(point), FEW);
        assert_near(a.patient.event.probability, 0.2, 0, 2 * a.patient.event.standard_error);
        sm_assessment_destroy(&a);
        sm_casefile_destroy(point);
    }
    sm_sweep_destroy(&s);
    sm_diag_destroy(&d);
    outcome_destroy(&o);
}

static void all_knobs_are_ranked(void **state)
{
    outcome o = read_demo();
    sm_sweep_all all;
    (void)state;
    assert_int_equal(sm_sweep_all_run(o.file, context_of(FEW), &all), SM_OK);
    assert_true(all.n >= 5); /* what is in doubt comes from the settings */
    for (int i = 0; i < all.n; i++) {
        const sm_sweep_row_of_all *r = &all.row[i];
        assert_true(i == 0 || r->range.value <= all.row[i - 1].range.value);
        assert_true(r->turns || r->n_even == 0);
        assert_true(r->value[0] >= r->knob.low && r->value[r->n - 1] <= r->knob.high);
        sm_casefile *end;
        sm_diag d = {0};
        const sm_knob *knob = &r->knob;
        assert_int_equal(sm_knob_case(o.file, &knob, &r->value[r->n - 1], 1, &d, &end), SM_OK);
        if (i < 3) {
            sm_assessment a = assess(sm_casefile_case(end), FEW);
            same_probability(&a.patient.event, &r->point[r->n - 1].p);
            sm_assessment_destroy(&a);
        }
        sm_casefile_destroy(end);
        sm_diag_destroy(&d);
    }
    sm_sweep_all_destroy(&all);
    outcome_destroy(&o);
}

/* 5. What roots share */

/* A plan of the demo case and one variation: which parts the variation evaluates itself. */
static void check_shared(const sm_casefile *f, const char *name, double value, bool frame, bool tube, bool left,
                         bool right)
{
    sm_knob k;
    sm_diag d = {0};
    sm_casefile *v;
    sm_plan p;
    const sm_knob *knob = &k;
    assert_int_equal(sm_knob_find(f, name, &d, &k), SM_OK);
    assert_int_equal(sm_knob_case(f, &knob, &value, 1, &d, &v), SM_OK);
    assert_int_equal(sm_plan_create(sm_casefile_case(f), 1, &p), SM_OK);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.c = sm_casefile_case(v)}, NULL), SM_OK);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.c = sm_casefile_case(v)}, NULL), SM_OK);
    assert_int_equal(p.parts[1].frame.owner, frame);
    assert_int_equal(p.parts[1].tube.owner, tube);
    assert_int_equal(p.parts[1].side[0].outputs.owner, left);
    assert_int_equal(p.parts[1].side[1].outputs.owner, right);
    for (int side = 0; side < 2; side++) /* the third root is the second once more */
        assert_int_not_equal(p.parts[2].side[side].outputs.owner, 2);
    sm_plan_destroy(&p);
    sm_casefile_destroy(v);
    sm_knob_destroy(&k);
    sm_diag_destroy(&d);
}

static void equal_parts_are_computed_once(void **state)
{
    outcome o = read_demo();
    (void)state;
    check_shared(o.file, "left.ostium_gap", 6.1, false, false, true, false);
    check_shared(o.file, "right.stj_height", 18.1, false, false, false, true);
    check_shared(o.file, "flare", 0.37, false, true, true, true);
    check_shared(o.file, "tilt", 2.2, true, false, true, true);
    check_shared(o.file, "blooming", 0.37, false, false, true, false); /* nothing on the right blooms */
    check_shared(o.file, "ring_height", 3.1, false, false, true, true);
    check_shared(o.file, "blooming_times", 1, false, false, false, false);
    outcome_destroy(&o);
}

/* 6. Comparisons */

static sm_compare compare_texts(const char *old, const char *now, outcome file[2])
{
    sm_compare c;
    sm_diag d = {0};
    file[0] = read_text(old);
    file[1] = read_text(now);
    assert_non_null(file[0].file);
    assert_non_null(file[1].file);
    assert_int_equal(sm_compare_run(file[0].file, file[1].file, context_of(FEW), &d, &c), SM_OK);
    sm_diag_destroy(&d);
    return c;
}

static void the_parts_of_a_comparison(void **state)
{
    outcome file[2], gap;
    char *a = replaced(one_source, "[4.6]", "[4.9]");
    char *b = replaced(a, "\"ostium_height\": {\"constant\": {\"value\": 9}}",
                       "\"ostium_height\": {\"constant\": {\"value\": 9.5}}");
    char *now = replaced(b, "\"blooming_mm\": 0.4, ", "");
    sm_compare c = compare_texts(one_source, now, file);
    (void)state;
    assert_int_equal(c.differences.n, 3);
    assert_string_equal(c.differences.at[0].pointer, "/scan/blooming_mm");
    assert_int_equal(c.differences.at[0].now.kind, SM_DATUM_NONE);
    assert_string_equal(c.differences.at[1].pointer, "/coronaries/left/ostium_height");
    assert_string_equal(c.differences.at[2].pointer, "/coronaries/left/ostium_gap/readings_mm");
    assert_string_equal(c.differences.at[2].words, "left ostium gap, readings");
    gap = read_text(a); /* one alone is a run of the old case with it */
    sm_assessment alone = assess(gap.c, FEW), whole = assess(file[1].c, FEW), first = assess(file[0].c, FEW);
    same_probability(&alone.patient.event, &c.alone[2].event);
    same_probability(&whole.patient.event, &c.now.patient.event);
    same_probability(&first.patient.event, &c.old.patient.event);
    assert_near(c.moved.value, whole.patient.event.probability - first.patient.event.probability, 0, 1e-12);
    assert_near(c.alone[1].difference.value, 0, 0, 0); /* the ostium stays well below the tube's top */
    double sum = 0, errors = c.moved.standard_error;
    for (int i = 0; i < 3; i++) {
        sum += c.alone[i].difference.value;
        errors += c.alone[i].difference.standard_error;
    }
    assert_near(sum + c.left.value, c.moved.value, 0, 1e-12);
    assert_near(c.left.standard_error, errors, 1e-12, 0); /* correlated in an unknown way: at most their sum */
    assert_true(errors > 2 * c.moved.standard_error);
    sm_assessment_destroy(&alone);
    sm_assessment_destroy(&whole);
    sm_assessment_destroy(&first);
    sm_compare_destroy(&c);
    outcome_destroy(&file[0]);
    outcome_destroy(&file[1]);
    outcome_destroy(&gap);
    free(a);
    free(b);
    free(now);
}

static void labels_and_the_line(void **state)
{
    outcome file[2];
    char *a = replaced(one_source, "\"case\": \"one\"", "\"case\": \"two\"");
    char *now = replaced(a, "\"action_line\": 0.3", "\"action_line\": 0.01");
    sm_compare c = compare_texts(one_source, now, file);
    (void)state;
    assert_int_equal(c.differences.n, 2);
    assert_int_equal(c.differences.at[0].kind, SM_DIFFERS_LABEL);
    assert_int_equal(c.differences.at[1].kind, SM_DIFFERS_LINE);
    assert_int_equal(c.old.decision.call, SM_CALL_BELOW);
    assert_int_equal(c.alone[0].call, SM_CALL_BELOW);
    assert_int_equal(c.alone[1].call, SM_CALL_ABOVE);
    assert_int_equal(c.now.decision.call, SM_CALL_ABOVE);
    assert_near(c.left.value, 0, 0, 0);
    assert_near(c.left.standard_error, 0, 0, 0);
    sm_compare_destroy(&c);
    outcome_destroy(&file[0]);
    outcome_destroy(&file[1]);
    free(a);
    free(now);
}

/* Of two looks that are opposed no difference elsewhere makes a call; one that takes the look away, or moves the first
 * reading to it, does: as an assessment of that case by itself says. */
static void opposed_looks_stay_opposed(void **state)
{
    (void)state;
    static const char gap[] = "/coronaries/left/ostium_gap";
    const sm_override looked = {gap,
                                "{\"readings_mm\": {\"A\": [3.4]}, \"cross_check\": {\"modality\": \"fluoroscopy\", "
                                "\"readings_mm\": {\"A\": [9.6]}, \"reader_sd_mm\": 0.6}}"};
    const sm_override now[] = {{gap,
                                "{\"readings_mm\": {\"A\": [9.4]}, \"cross_check\": {\"modality\": \"fluoroscopy\", "
                                "\"readings_mm\": {\"A\": [9.6]}, \"reader_sd_mm\": 0.6}}"},
                               {"/surgical_valve/leaflet_thickness_mm", "0.8"},
                               {"/case", "\"two\""}};
    char *before = text_with(one_source, &looked, 1), *after = text_with(one_source, now, 3);
    outcome file[2], alone = read_with(one_source, NULL, now, 1);
    sm_compare c = compare_texts(before, after, file);
    assert_int_equal(c.old.decision.reason, SM_REASON_LOOKS_OPPOSED);
    assert_int_equal(c.differences.n, 3);
    for (int i = 0; i < 3; i++) {
        const bool closes = strstr(c.differences.at[i].pointer, "ostium_gap") != NULL;
        assert_int_equal(c.alone[i].call, closes ? SM_CALL_BELOW : SM_CALL_UNRESOLVED);
        assert_int_equal(c.alone[i].reason, closes ? SM_REASON_NONE : SM_REASON_LOOKS_OPPOSED);
    }
    sm_assessment a = assess(alone.c, FEW);
    assert_int_equal(a.decision.call, SM_CALL_BELOW);
    sm_assessment_destroy(&a);
    sm_compare_destroy(&c);
    outcome_destroy(&file[0]);
    outcome_destroy(&file[1]);
    outcome_destroy(&alone);
    free(before);
    free(after);
}

/* A look beside a distribution is a difference of its own, and says of what it is, in the valve too. */
static void looks_are_told_apart(void **state)
{
    (void)state;
    static const char looked[] = "{\"normal\": {\"mean\": 22, \"sd\": 0.3}, \"cross_check\": {\"modality\": \"bench\", "
                                 "\"readings_mm\": {\"A\": [21.6]}, \"reader_sd_mm\": 0.4}}";
    static const char ring[] = "/surgical_valve/inner_diameter_mm";
    const sm_override plain = {ring, "{\"normal\": {\"mean\": 22, \"sd\": 0.3}}"}, with = {ring, looked},
                      wider[] = {{ring, looked}, {"/surgical_valve/inner_diameter_mm/normal/sd", "0.5"}},
                      other = {ring, "{\"uniform\": {\"min\": 21, \"max\": 23}}"};
    char *text[] = {text_with(one_source, &plain, 1), text_with(one_source, &with, 1), text_with(one_source, wider, 2),
                    text_with(one_source, &other, 1)};
    static const struct {
        int old, now;
        const char *pointer, *words;
    } want[] = {{0, 1, "/surgical_valve/inner_diameter_mm/cross_check", "inner diameter, second look"},
                {1, 2, "/surgical_valve/inner_diameter_mm/normal", "inner diameter, distribution"},
                {1, 3, "/surgical_valve/inner_diameter_mm", "inner diameter of the ring, with its second look"}};
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        outcome file[2];
        sm_compare c = compare_texts(text[want[i].old], text[want[i].now], file);
        assert_int_equal(c.differences.n, 1);
        assert_string_equal(c.differences.at[0].pointer, want[i].pointer);
        assert_string_equal(c.differences.at[0].words, want[i].words);
        sm_compare_destroy(&c);
        outcome_destroy(&file[0]);
        outcome_destroy(&file[1]);
    }
    for (size_t i = 0; i < sizeof text / sizeof *text; i++)
        free(text[i]);
}

/* A swept distribution keeps the look beside it. */
static void a_look_stays_beside_what_is_swept(void **state)
{
    (void)state;
    const sm_override put[] = {{"/surgical_valve/inner_diameter_mm",
                                "{\"normal\": {\"mean\": 22, \"sd\": 0.3}, \"cross_check\": {\"modality\": "
                                "\"bench\", \"readings_mm\": {\"A\": [21.6]}, \"reader_sd_mm\": 0.4}}"},
                               {"/coronaries/left/leaflet_height",
                                "{\"uniform\": {\"min\": 14, \"max\": 16}, \"cross_check\": {\"modality\": "
                                "\"ct\", \"readings_mm\": {\"A\": [14.6]}, \"reader_sd_mm\": 0.8}}"}};
    char *text = text_with(smallest, put, 2);
    outcome o = read_text(text);
    assert_non_null(o.file);
    static const char *const name[] = {"inner_diameter", "left.leaflet_height"};
    static const double value[] = {21.5, 15.7};
    for (size_t i = 0; i < 2; i++) {
        sm_diag d = {0};
        sm_knob k;
        const sm_knob *knob = &k;
        sm_casefile *moved;
        assert_int_equal(sm_knob_find(o.file, name[i], &d, &k), SM_OK);
        assert_int_equal(sm_knob_case(o.file, &knob, &value[i], 1, &d, &moved), SM_OK);
        const sm_case *c = sm_casefile_case(moved);
        const sm_quantity *q = i ? &c->coronary[0].quantity[SM_LEAFLET_HEIGHT] : &c->valve.inner_diameter;
        assert_near(sm_quantity_estimate(q), value[i], 1e-12, 0);
        assert_true(q->cross_check.present);
        assert_near(q->cross_check.readings.row[0].mm[0], i ? 14.6 : 21.6, 0, 0);
        sm_casefile_destroy(moved);
        sm_knob_destroy(&k);
        sm_diag_destroy(&d);
    }
    outcome_destroy(&o);
    free(text);
}

/* The two forms of a base plane exclude each other: the plane is one difference. A key that another key demands cannot
 * stand alone. */
static void forms_and_what_cannot_stand_alone(void **state)
{
    outcome file[2];
    char *now = replaced(one_source, "{\"tilt_sd_deg\": 0, \"level_sd_mm\": 0}", "{\"point_sd_mm\": 0.7}");
    sm_compare c = compare_texts(one_source, now, file);
    (void)state;
    assert_int_equal(c.differences.n, 1);
    assert_string_equal(c.differences.at[0].pointer, "/scan/base_plane");
    assert_true(c.alone[0].stands_alone);
    sm_compare_destroy(&c);
    outcome_destroy(&file[0]);
    outcome_destroy(&file[1]);
    free(now);
    char *external = replaced(one_source, "\"leaflet_mount\": \"internal\"",
                              "\"leaflet_mount\": \"external\", \"mount_offset_mm\": 0.9");
    c = compare_texts(one_source, external, file);
    assert_int_equal(c.differences.n, 2);
    assert_true(c.alone[0].stands_alone);
    assert_false(c.alone[1].stands_alone); /* a stand-off with leaflets inside */
    assert_near(c.left.value, c.moved.value - c.alone[0].difference.value, 0, 1e-12);
    sm_compare_destroy(&c);
    outcome_destroy(&file[0]);
    outcome_destroy(&file[1]);
    free(external);
}

/* 7. Refusals */

static void check_refusal(const sm_casefile *f, const char *const *vary, int n, sm_status wanted, const char *words)
{
    sm_diag d = {0};
    sm_text said = {0};
    sm_sweep s;
    assert_int_equal(sweep_text(f, vary, n, 1000, &d, &s), wanted);
    sm_diag_write(&d, &said);
    assert_contains(said.s, words);
    sm_text_destroy(&said);
    sm_diag_destroy(&d);
    sm_sweep_destroy(&s);
}

static void bad_asks_are_refused_in_words(void **state)
{
    static const struct {
        const char *vary[2];
        sm_status wanted;
        const char *words;
    } bad[] = {{{"bloming=0:1"}, SM_USAGE, "did you mean blooming?"},
               {{"left.ostium_gpa=4:5"}, SM_USAGE, "did you mean left.ostium_gap?"},
               {{"middle.ostium_gap=4:5"}, SM_USAGE, "no knob has this name"},
               {{"blooming"}, SM_USAGE, "expected WHAT=FROM:TO"},
               {{"=1:2"}, SM_USAGE, "expected WHAT=FROM:TO"},
               {{"blooming=1"}, SM_USAGE, "expected two numbers"},
               {{"blooming=1:x"}, SM_USAGE, "expected two numbers"},
               {{"blooming=0:inf"}, SM_USAGE, "expected two numbers"},
               {{"blooming=0:1e999"}, SM_USAGE, "expected two numbers"},
               {{"blooming=0:1:2.5"}, SM_USAGE, "whole number of steps"},
               {{"blooming=0:1:"}, SM_USAGE, "whole number of steps"},
               {{"blooming=0:1:1"}, SM_USAGE, "at least 2 steps"},
               {{"blooming=0:1:0"}, SM_USAGE, "at least 2 steps"},
               {{"blooming=0:1:999999999999"}, SM_USAGE, "at most 201 steps"},
               {{"blooming=0.5:0.5"}, SM_USAGE, "FROM and TO are the same"},
               {{"blooming=-0.1:0.5"}, SM_REFUSED, "0 to 3 mm per edge"},
               {{"reader_error=-1:2"}, SM_REFUSED, "0 to 10 times"},
               {{"left.ostium_gap=4:31"}, SM_REFUSED, "-5 to 30 mm"},
               {{"stand_off=0.3:1"}, SM_REFUSED, "is fixed in this case: the leaflets are not mounted outside"},
               {{"cuff_wave=0:1"}, SM_REFUSED, "is fixed in this case: the case states the tilt"},
               {{"/action_line=0.1:0.3"}, SM_REFUSED, "does not move the probability"},
               {{"/implant/flair=0:1"}, SM_REFUSED, "did you mean \"flare\"?"},
               {{"/implant/flare=0:1.5"}, SM_REFUSED, "expected"},
               {{"implant_depth=4:19"}, SM_REFUSED, "at 1"},
               {{"blooming=0:1", "blooming_times=1:2"}, SM_USAGE, "same place"},
               {{"blooming=0:1", "/scan/blooming_mm=1:2"}, SM_USAGE, "same place"},
               {{"blooming=0:1:42", "flare=0:1"}, SM_USAGE, "at most 41 steps"}};
    outcome o = read_text(one_source);
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        check_refusal(o.file, bad[i].vary, bad[i].vary[1] ? 2 : 1, bad[i].wanted, bad[i].words);
    outcome_destroy(&o);
}

static void other_coronaries_are_refused(void **state)
{
    char *now = replaced(one_source, "\"left\":", "\"lima\":");
    outcome a = read_text(one_source), b = read_text(now);
    sm_compare c;
    sm_diag d = {0};
    sm_text said = {0};
    (void)state;
    assert_int_equal(sm_compare_run(a.file, b.file, context_of(1000), &d, &c), SM_REFUSED);
    sm_diag_write(&d, &said);
    assert_contains(said.s, "the first case has the coronaries left, the second lima");
    sm_text_destroy(&said);
    sm_diag_destroy(&d);
    outcome_destroy(&a);
    outcome_destroy(&b);
    free(now);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(points_are_what_separate_runs_give),
                                       cmocka_unit_test(points_with_pilots_are_what_separate_runs_give),
                                       cmocka_unit_test(the_case_itself_is_a_point),
                                       cmocka_unit_test(break_even_is_the_closed_form),
                                       cmocka_unit_test(break_even_error_is_the_spread_of_repeats),
                                       cmocka_unit_test(a_meeting_lies_by_the_normal_score),
                                       cmocka_unit_test(a_curve_moves_beyond_its_error),
                                       cmocka_unit_test(a_tilt_is_what_its_points_make),
                                       cmocka_unit_test(a_knob_that_does_not_matter_says_so),
                                       cmocka_unit_test(a_grid_is_what_separate_runs_give),
                                       cmocka_unit_test(all_knobs_are_ranked),
                                       cmocka_unit_test(equal_parts_are_computed_once),
                                       cmocka_unit_test(the_parts_of_a_comparison),
                                       cmocka_unit_test(labels_and_the_line),
                                       cmocka_unit_test(opposed_looks_stay_opposed),
                                       cmocka_unit_test(looks_are_told_apart),
                                       cmocka_unit_test(a_look_stays_beside_what_is_swept),
                                       cmocka_unit_test(forms_and_what_cannot_stand_alone),
                                       cmocka_unit_test(bad_asks_are_refused_in_words),
                                       cmocka_unit_test(other_coronaries_are_refused)};
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
