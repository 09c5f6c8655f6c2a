/* test_points.c - points picked in a scan: their frame, the files that hold them, the case that they make.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/points_case.h"
#include "casefile_help.h"

#define RADIANS (3.14159265358979323846 / 180)

/* 1. A root with a known answer */

static double uniform(void)
{
    static uint64_t x = 20240607;
    x = x * 6364136223846793005U + 1442695040888963407U;
    return (double)(x >> 11) / 9007199254740992.0;
}

/* An orthonormal frame; columns are where x, y and z go. */
typedef struct {
    sm_vector x, y, z, origin;
} pose;

static sm_vector put(const pose *p, double x, double y, double z)
{
    return (sm_vector){p->origin.x + x * p->x.x + y * p->y.x + z * p->z.x,
                       p->origin.y + x * p->x.y + y * p->y.y + z * p->z.y,
                       p->origin.z + x * p->x.z + y * p->y.z + z * p->z.z};
}

/* A rotation from a unit quaternion. */
static pose rotation(double w, double x, double y, double z)
{
    const double n = sqrt(w * w + x * x + y * y + z * z);
    w /= n, x /= n, y /= n, z /= n;
    return (pose){.x = {1 - 2 * (y * y + z * z), 2 * (x * y + w * z), 2 * (x * z - w * y)},
                  .y = {2 * (x * y - w * z), 1 - 2 * (x * x + z * z), 2 * (y * z + w * x)},
                  .z = {2 * (x * z + w * y), 2 * (y * z - w * x), 1 - 2 * (x * x + y * y)},
                  .origin = {300 * uniform() - 150, 300 * uniform() - 150, 2000 * uniform() - 1000}};
}

/* Any rotation at all (four normals by sums of uniforms are isotropic enough). */
static pose any_pose(void)
{
    double q[4];
    for (int i = 0; i < 4; i++) {
        q[i] = -6;
        for (int k = 0; k < 12; k++)
            q[i] += uniform();
    }
    return rotation(q[0], q[1], q[2], q[3]);
}

/* The axis up to 50 degrees off the body's length, the root turned by up to 20 degrees about it. */
static pose likely_pose(void)
{
    const double tilt = 50 * uniform() * RADIANS / 2, way = 360 * uniform() * RADIANS,
                 turn = (40 * uniform() - 20) * RADIANS / 2;
    const double tw = cos(tilt), tx = sin(tilt) * cos(way), ty = sin(tilt) * sin(way), cw = cos(turn), cz = sin(turn);
    return rotation(tw * cw, tx * cw + ty * cz, ty * cw - tx * cz, tw * cz); /* the turn first */
}

typedef struct {
    const char *part;
    double height, radius, azimuth;
} landmark;

static const double base_azimuth[3] = {20, 136, 263};
static const landmark of_first[] = {
    {"ostium", 9.13, 17.04, 31}, {"junction", 18.27, 13.9, 26}, {"leaflet_top", 14.8, 11, 30}};
static const landmark of_second[] = {
    {"ostium", 12.21, 18.45, 265.5}, {"junction", 18.66, 14.38, 260}, {"leaflet_top", 13.9, 11.5, 259}};
static const double circle = 22.4;

static sm_vector at(const pose *p, double height, double radius, double azimuth)
{
    return put(p, radius * cos(azimuth * RADIANS), radius * sin(azimuth * RADIANS), height);
}

/* Signs of the axes as they are written: -1, -1, 1 writes ras. */
static void line(sm_text *out, const char *label, sm_vector v, const double sign[3])
{
    sm_text_addf(out, "%s,%.4f,%.4f,%.4f\n", label, sign[0] * v.x, sign[1] * v.y, sign[2] * v.z);
}

static void side_lines(sm_text *out, const pose *p, const char *name, const landmark l[3], const double sign[3])
{
    for (int i = 0; i < 3; i++) {
        char label[64];
        snprintf(label, sizeof label, "%s.%s", name, l[i].part);
        line(out, label, at(p, l[i].height, l[i].radius, l[i].azimuth), sign);
    }
}

/* The file of a reader; azimuth 0 is toward base_1, which lies at base_azimuth[0] of the true root. */
static void root_file(sm_text *out, const pose *p, const char *first, const char *second, const double sign[3])
{
    sm_text_puts(out, "label,x,y,z\n");
    for (int i = 0; i < 3; i++) {
        char label[16];
        snprintf(label, sizeof label, "base_%d", i + 1);
        line(out, label, at(p, 0, 11.6, base_azimuth[i]), sign);
    }
    side_lines(out, p, first, of_first, sign);
    side_lines(out, p, second, of_second, sign);
}

typedef struct {
    sm_points_by_reader by[2];
    sm_draft draft;
    sm_diag d;
    sm_text messages;
    sm_status status;
} made;

static made make_two(const char *a, const char *b, sm_axes axes, double mm)
{
    static const char *const no_sides[] = {NULL};
    made m = {.by = {{.reader = "A"}, {.reader = "B"}}};
    const char *const text[2] = {a, b}, *const name[2] = {"a.csv", "b.csv"};
    const size_t n = b ? 2 : 1;
    assert_int_equal(sm_draft_create(no_sides, false, &m.draft), SM_OK);
    for (size_t i = 0; i < n && m.status == SM_OK; i++)
        m.status = sm_points_csv_read((sm_file_text){name[i], text[i], strlen(text[i])}, axes, &m.d, &m.by[i].points);
    if (m.status == SM_OK)
        m.status = sm_points_case(m.by, n, mm, &m.d, &m.draft);
    sm_diag_write(&m.d, &m.messages);
    sm_text_puts(&m.messages, "");
    return m;
}

static made make(const char *text, sm_axes axes)
{
    return make_two(text, NULL, axes, circle);
}

static void made_destroy(made *m)
{
    sm_points_destroy(&m->by[0].points);
    sm_points_destroy(&m->by[1].points);
    sm_draft_destroy(&m->draft);
    sm_diag_destroy(&m->d);
    sm_text_destroy(&m->messages);
}

/* The first number at a pointer of the draft that is made. */
static double number_at(const made *m, const char *side, const char *key)
{
    sm_question q = {.optional = true};
    sm_text json = {0};
    snprintf(q.pointer, sizeof q.pointer, "/coronaries/%s/%s", side, key);
    assert_int_equal(sm_draft_state(&m->draft, &q, &json), SM_ANSWER_GIVEN);
    const char *s = strpbrk(json.s, "-0123456789");
    assert_non_null(s);
    const double x = strtod(s, NULL);
    sm_text_destroy(&json);
    return x;
}

static void check_side(const made *m, const char *side, const landmark l[3])
{
    static const char *const height[] = {"ostium_height", "stj_height", "leaflet_height"};
    static const char *const gap[] = {"ostium_gap", "stj_gap"};
    for (int i = 0; i < 3; i++)
        assert_near(number_at(m, side, height[i]), l[i].height, 0, 0.01);
    for (int i = 0; i < 2; i++)
        assert_near(number_at(m, side, gap[i]), l[i].radius - circle / 2, 0, 0.01);
    assert_near(remainder(number_at(m, side, "azimuth_deg") - (l[0].azimuth - base_azimuth[0]), 360), 0, 0, 0.1);
}

static const double lps[3] = {1, 1, 1}, ras[3] = {-1, -1, 1};

static void a_root_comes_back_however_it_is_turned(void **state)
{
    (void)state;
    for (int i = 0; i < 200;) {
        const pose p = any_pose();
        sm_text text = {0};
        root_file(&text, &p, "one", "Two", i % 2 ? ras : lps);
        made m = make(text.s, i % 2 ? SM_AXES_RAS : SM_AXES_LPS);
        if (p.z.z < -0.1) { /* upside down: no root lies so */
            assert_int_equal(m.status, SM_REFUSED);
            assert_contains(m.messages.s, "toward the feet");
        } else {
            assert_string_equal(m.messages.s, "");
            check_side(&m, "one", of_first);
            check_side(&m, "two", of_second);
            i++;
        }
        made_destroy(&m);
        sm_text_destroy(&text);
    }
}

/* The same without the question how the root lies: every rotation, to the last digit; the frame of (2.5) and (2.6). */
static void a_point_is_measured_in_its_frame(void **state)
{
    (void)state;
    for (int i = 0; i < 200; i++) {
        const pose p = any_pose();
        const double a = 0.4 * uniform() - 0.2, b = 0.4 * uniform() - 0.2, c = 2 * uniform(),
                     N = sqrt(1 + a * a + b * b), S = sqrt(1 + a * a), cx = uniform(), cy = uniform();
        const double n[3] = {-a / N, -b / N, 1 / N}, u[3] = {1 / S, 0, a / S};
        const double v[3] = {n[1] * u[2] - n[2] * u[1], n[2] * u[0] - n[0] * u[2], n[0] * u[1] - n[1] * u[0]};
        const double o[3] = {cx, cy, c + a * cx + b * cy};
        sm_vector q[7];
        /* height, distance and azimuth of the base points about a centre of their own, the top, the zero, the axis, a
         * point */
        const double r[7][3] = {{0, 11, 40}, {0, 11, 165}, {0, 11, 275},      {30, 4, 10},
                                {3, 9, 0},   {21, 0, 0},   {9.1, 17.2, 222.2}};
        for (int k = 0; k < 7; k++) {
            const double off = k < 3 ? 1.5 : 0, cu = r[k][1] * cos(r[k][2] * RADIANS) + off,
                         cv = r[k][1] * sin(r[k][2] * RADIANS);
            q[k] = put(&p, o[0] + cu * u[0] + cv * v[0] + r[k][0] * n[0], o[1] + cu * u[1] + cv * v[1] + r[k][0] * n[1],
                       o[2] + cu * u[2] + cv * v[2] + r[k][0] * n[2]);
        }
        sm_picked_frame f;
        assert_int_equal(sm_picked_frame_create(q, &q[5], &q[3], &q[4], &f), SM_PICKED_OK);
        assert_near(f.radius_mm, 11, 1e-9, 0);
        assert_near(f.centre_off_mm, 1.5, 1e-8, 0);
        const sm_picked m = sm_picked_measure(&f, &q[6]);
        assert_near(m.height_mm, 9.1, 1e-9, 0);
        assert_near(m.radius_mm, 17.2, 1e-9, 0);
        assert_near(m.azimuth_deg, 222.2, 1e-9, 0);
        assert_near(f.base_azimuth_deg[2],
                    (atan2(11 * sin(275 * RADIANS), 11 * cos(275 * RADIANS) + 1.5)) / RADIANS + 360, 1e-9, 0);
    }
}

/* 2. How it lies in the patient */

static void lies_as(const pose *p, const double sign[3], sm_axes axes, const char *first, const char *second,
                    const char *words)
{
    sm_text text = {0};
    root_file(&text, p, first, second, sign);
    made m = make(text.s, axes);
    assert_int_equal(m.status, words ? SM_REFUSED : SM_OK);
    if (words) {
        assert_int_equal(m.d.faults, 1);
        assert_contains(m.messages.s, words);
    } else
        assert_string_equal(m.messages.s, "");
    made_destroy(&m);
    sm_text_destroy(&text);
}

static void a_root_in_wrong_axes_is_refused(void **state)
{
    (void)state;
    static const double mirrored[3][3] = {{-1, 1, 1}, {1, -1, 1}, {1, 1, -1}};
    static const char *const left[] = {"left"}, *const right[] = {"right"};
    for (int i = 0; i < 200; i++) {
        pose p = likely_pose();
        lies_as(&p, lps, SM_AXES_LPS, *left, *right, NULL);
        lies_as(&p, ras, SM_AXES_RAS, *left, *right, NULL);
        lies_as(&p, ras, SM_AXES_LPS, *left, *right, "most likely ras and not lps");
        lies_as(&p, lps, SM_AXES_RAS, *left, *right, "most likely lps and not ras");
        lies_as(&p, ras, SM_AXES_LPS, "left", "other", "most likely ras and not lps");
        lies_as(&p, ras, SM_AXES_LPS, "other", "right", "most likely ras and not lps");
        lies_as(&p, mirrored[0], SM_AXES_LPS, *left, *right, "");
        lies_as(&p, mirrored[1], SM_AXES_LPS, *left, *right, "");
        lies_as(&p, mirrored[2], SM_AXES_LPS, *left, *right, "toward the feet");
        lies_as(&p, lps, SM_AXES_LPS, *right, *left, "each other's place");
    }
    const pose straight = rotation(1, 0, 0, 0);
    lies_as(&straight, mirrored[0], SM_AXES_LPS, *left, *right, "mirror image");
    lies_as(&straight, mirrored[1], SM_AXES_LPS, *left, *right, "mirror image");
}

/* Ostia about opposite: which way round they are is then told by where they lie in the patient. */
static void ostia_nearly_opposite(void **state)
{
    (void)state;
    const sm_vector base[3] = {{11, 0, 0}, {-5.5, 9.526, 0}, {-5.5, -9.526, 0}}, up = {0, 0, 30};
    sm_picked_frame f;
    assert_int_equal(sm_picked_frame_create(base, NULL, &up, &base[0], &f), SM_PICKED_OK);
    /* direction of the left ostium, clockwise way to the right one, how it then lies; azimuths from the left to the
     * back */
    static const struct {
        double left, clockwise;
        sm_picked_lie mirror, lie;
    } root[] = {{30, 130, SM_LIES_MIRRORED, SM_LIES_PLAIN},
                {40, 160, SM_LIES_MIRRORED, SM_LIES_PLAIN},
                {50, 205, SM_LIES_PLAIN, SM_LIES_PLAIN},
                {60, 215, SM_LIES_PLAIN, SM_LIES_MIRRORED}};
    for (size_t i = 0; i < sizeof root / sizeof *root; i++) {
        const double a = root[i].left * RADIANS, b = (root[i].left - root[i].clockwise) * RADIANS;
        const sm_vector l = {17 * cos(a), 17 * sin(a), 9}, r = {18 * cos(b), 18 * sin(b), 12};
        const sm_vector ml = {-l.x, l.y, l.z}, mr = {-r.x, r.y, r.z};
        assert_int_equal(sm_picked_lies(&f, &l, &r), root[i].lie);
        if (root[i].mirror != SM_LIES_PLAIN)
            assert_int_equal(sm_picked_lies(&f, &ml, &mr), root[i].mirror);
    }
}

/* 3. Files */

#define POINTS                                                                                                         \
    "base_1,11,0,0\nbase_2,-5.5,9.526,0\nbase_3,-5.5,-9.526,0\nleft.ostium,14.1,8.2,9.1\nleft.junction,12,7,18\n"      \
    "left.leaflet_top,10,6,14.8\n"
#define HEAD "label,x,y,z\n"

static void check_made(const char *text, sm_axes axes)
{
    made m = make(text, axes);
    assert_string_equal(m.messages.s, "");
    assert_int_equal(m.status, SM_OK);
    assert_near(number_at(&m, "left", "ostium_height"), 9.1, 0, 1e-12);
    assert_near(number_at(&m, "left", "ostium_gap"), 5.11, 0, 1e-12); /* hypot(14.1, 8.2) less 11.2 */
    assert_near(number_at(&m, "left", "azimuth_deg"), 30.2, 0, 1e-12);
    made_destroy(&m);
}

/* A comma becomes `by`, a decimal point `point`. */
static char *rewritten(const char *text, char by, char point, const char *end)
{
    sm_text out = {0};
    for (const char *s = text; *s; s++) {
        const bool decimal = *s == '.' && s[1] >= '0' && s[1] <= '9';
        const char c = *s == ',' ? by : decimal ? point : *s;
        if (*s == '\n')
            sm_text_puts(&out, end);
        else
            sm_text_putn(&out, &c, 1);
    }
    return sm_text_take(&out);
}

static void lists_of_many_kinds(void **state)
{
    (void)state;
    check_made(HEAD POINTS, SM_AXES_LPS);
    check_made("\xEF\xBB\xBF"
               "Label,X (mm),y_mm,Z [mm]\n" POINTS,
               SM_AXES_LPS);
    check_made("# points\n#\n# Coordinate system = LPS\n" HEAD POINTS, SM_AXES_UNSTATED);
    check_made("# points, 3\n# axes: lps, in mm\n# columns = label,x,y,z\n" POINTS, SM_AXES_UNSTATED);
    check_made("name,l,p,s\n" POINTS, SM_AXES_UNSTATED);
    check_made(HEAD "# a remark in between\n\n" POINTS "\n", SM_AXES_LPS);
    check_made(
        "id,axes,label,z,y,x,circle_mm\n"
        "1,LPS,Base_1,0,0,11,22.4\n2,,BASE 2,0,9.526,-5.5,\n3,,base-3,0,-9.526,-5.5,\n4,,LEFT ostium,9.1,8.2,1.41e1,\n"
        "5,,left_junction,18,7,12,22.4\n6,,Left.leaflet top,14.8,6,10,\n",
        SM_AXES_UNSTATED);
    check_made("r,a,s,name\n-11,0,0,base_1\n5.5,-9.526,0,base_2\n5.5,9.526,0,base_3\n-14.1,-8.2,9.1,left.ostium\n"
               "-10,-6,14.8,left.leaflet_top\n0,0,50,axis_top\n",
               SM_AXES_UNSTATED);
    /* other columns, of one letter too; two names; a header behind a comment sign, rows without one */
    check_made("# CoordinateSystem = LPS\n# columns = id,x,y,z,r,s,visible,label,name\n"
               "p1,11,0,0,1,1,0,base_1,\np2,-5.5,9.526,0,1,1,0,base_2,F-2\np3,-5.5,-9.526,0,,,,base_3,\n"
               "p4,14.1,8.2,9.1,,,,left.ostium,left.junction\n",
               SM_AXES_UNSTATED);
    static const struct {
        char by, point;
        const char *end;
    } kind[] = {{';', '.', "\n"}, {';', ',', "\r\n"}, {'\t', ',', "\r"}, {'\t', '.', "\n"}};
    for (size_t i = 0; i < sizeof kind / sizeof *kind; i++) {
        char *text = rewritten("# space: lps\n" HEAD POINTS, kind[i].by, kind[i].point, kind[i].end);
        check_made(text, SM_AXES_UNSTATED);
        free(text);
    }
}

/* Points of the reader's own are passed over with a word, those that are none of ours by a slip are not. */
static void a_point_of_its_own_is_passed_over(void **state)
{
    (void)state;
    made m = make(HEAD POINTS "septum,1,2,x\n,1,2,3\n", SM_AXES_LPS);
    assert_int_equal(m.status, SM_OK);
    assert_contains(m.messages.s, "a.csv:8:1: warning: the point \"septum\" is not used");
    assert_contains(m.messages.s, "a.csv:9:1: warning: a point without a label");
    assert_int_equal(m.d.n, 2);
    made_destroy(&m);
}

static void bad_lists(void **state)
{
    (void)state;
    static const struct {
        const char *text, *message;
    } bad[] = {
        {"", "a.csv:1:1: there is no point in this file"},
        {"# nothing\n", "a.csv:1:1: there is no point in this file"},
        {POINTS, "a.csv:1:1: expected a header that names the columns label, x, y and z (mm)"},
        {"label,x,y\nbase_1,1,2\n", "a.csv:1:1: expected a header"},
        {"label,x (cm),y (cm),z (cm)\n" POINTS, "a.csv:1:1: expected a header"},
        {"label,x,x_mm,y,z\n", "a.csv:1:1: a column stands twice"},
        {HEAD POINTS "base_1,1,2,3\n", "a.csv:8:1: the point \"base_1\" stands in line 2 as well"},
        {HEAD POINTS "left-ostium,1,2,3\n", "a.csv:8:1: the point \"left-ostium\" stands in line 5 as well"},
        {HEAD POINTS "right.ostuim,1,2,3\n",
         "a.csv:8:1: no point has the label \"right.ostuim\"; did you mean right.ostium?"},
        {HEAD POINTS "axis_tip,1,2,3\n", "a.csv:8:1: no point has the label \"axis_tip\"; did you mean axis_top?"},
        {HEAD POINTS "axis_top,1,,3\n", "a.csv:8:12: found \"\" for y, expected a number of mm"},
        {HEAD POINTS "axis_top,1,2,3mm\n", "a.csv:8:14: found \"3mm\" for z, expected a number of mm"},
        {HEAD POINTS "axis_top,1,2,nan\n", "a.csv:8:14: found \"nan\" for z"},
        {HEAD POINTS "axis_top,1,2,0x1\n", "a.csv:8:14: found \"0x1\" for z"},
        {HEAD POINTS "axis_top,1,2,1e5\n", "a.csv:8:14: found \"1e5\" for z"},
        {HEAD POINTS "axis_top,1,\"2\n", "a.csv:8:12: this quote is never closed"},
        {HEAD "base_1,1,2,3\nbase_3,3,2,1\nleft.ostium,1,1,1\n", "a.csv:1:1: there is no point base_2"},
        {HEAD "base_1,1,2,3\nbase_2,3,5,1\nbase_3,3,2,1\n", "a.csv:1:1: there is no point of a coronary"},
        {HEAD "base_1,1,0,0\nbase_2,2,0,0\nbase_3,3,0.01,0\nleft.ostium,1,1,9\n",
         "a.csv:2:1: base_1, base_2 and base_3 lie together"},
        {HEAD "base_1,1,0,0\nbase_2,1,0,0\nbase_3,3,9,0\nleft.ostium,1,1,9\n",
         "a.csv:2:1: base_1, base_2 and base_3 lie together"},
        {HEAD POINTS "azimuth_0,0,0,17\n", "a.csv:8:1: this point lies on the axis"},
        {HEAD POINTS "axis_top,9,9,0.5\n", "a.csv:2:1: no point shows which way is up"},
        {HEAD POINTS "axis_top,0,0,-40\n", "a.csv:5:1: the aorta would lead toward the feet"},
        {HEAD POINTS "right.junction,0,-12,-4\n", "a.csv:8:1: /coronaries/right/stj_height/readings_mm/A/0: found -4"},
        {HEAD "base_1,1.1,0,0\nbase_2,-0.55,0.9526,0\nbase_3,-0.55,-0.9526,0\nleft.ostium,14.1,8.2,9.1\n",
         "a.csv:2:1: /scan/base_plane/radius_mm: found 1.1"},
        {"#coordinates lps\n# space ras\n" HEAD POINTS, "a.csv:2:9: found the axes ras, but line 1 says lps"},
        {"# space ras\n" HEAD POINTS, "a.csv:1:9: found the axes ras, but --axes says lps"},
        {"label,x,y,z,axes\nbase_1,11,0,0,lpi\n", "a.csv:2:15: found the axes \"lpi\", expected lps or ras"},
        {"label,x,y,z,circle\nbase_1,11,0,0,22.4\nbase_2,-5.5,9.526,0,23\n", "a.csv:3:21: found a circle of 23 mm"},
        {"label,x,y,z,circle\nbase_1,11,0,0,2.2\n",
         "a.csv:2:15: found a circle of 2.2 mm, expected a diameter from 10 to 45 mm"},
        {HEAD POINTS "\xff\n", "a.csv:8:1: this is not UTF-8"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        made m = make(bad[i].text, SM_AXES_LPS);
        assert_contains(m.messages.s, bad[i].message);
        if (m.d.faults != 1)
            fail_msg("%zu faults: %s", m.d.faults, m.messages.s);
        assert_int_equal(m.status, SM_REFUSED);
        made_destroy(&m);
    }
    made m = make(HEAD POINTS, SM_AXES_UNSTATED);
    assert_string_equal(
        m.messages.s, "a.csv:1:1: nothing says which way the axes run: give --axes lps (x to the patient's left, y to "
                      "the back, z to the head) or --axes ras (x to the right, y to the front)\n");
    made_destroy(&m);
    m = make_two(HEAD POINTS, NULL, SM_AXES_LPS, 0);
    assert_string_equal(
        m.messages.s,
        "a.csv:1:1: a gap starts at the circle that stands for the new valve: give its diameter, --circle MM\n");
    made_destroy(&m);
    m = make(HEAD POINTS "axis_top,a,b,c\nbase_1,0,0,0\nring_center,,,\n", SM_AXES_LPS);
    assert_int_equal(m.d.faults, 7); /* all of them in one run */
    made_destroy(&m);
}

/* 4. The case */

static void check_json(const made *m, const char *pointer, const char *want)
{
    sm_question q = {.optional = true};
    sm_text json = {0};
    snprintf(q.pointer, sizeof q.pointer, "%s", pointer);
    assert_int_equal(sm_draft_state(&m->draft, &q, &json), SM_ANSWER_GIVEN);
    assert_string_equal(json.s, want);
    sm_text_destroy(&json);
}

/* The second reader lies elsewhere, and counts from a named point. */
static const char second[] =
    HEAD "base_1,111,7,0\nbase_2,94.5,16.526,0\nbase_3,94.5,-2.526,0\nleft.ostium,114.4,15.1,9.4\n"
         "azimuth_0,110,7,5\nring_centre,100,7,3\n";

static void two_files_are_two_readers(void **state)
{
    (void)state;
    made m = make_two(HEAD POINTS, second, SM_AXES_LPS, circle);
    assert_string_equal(m.messages.s, "");
    check_json(&m, "/coronaries/left/ostium_height", "{\"readings_mm\": {\"A\": [9.1], \"B\": [9.4]}}");
    check_json(&m, "/coronaries/left/ostium_gap",
               "{\"readings_mm\": {\"A\": [5.11], \"B\": [5.32]}, \"bloom_edges\": null}");
    check_json(&m, "/coronaries/left/stj_height", "{\"readings_mm\": {\"A\": [18]}}");
    check_json(&m, "/coronaries/left/azimuth_deg", "29.8"); /* between 30.18 and 29.36 */
    check_json(&m, "/scan/base_plane", "{\"radius_mm\": 11, \"azimuths_deg\": [0, 120, 240], \"placements\": 2}");
    made_destroy(&m);
    /* base points numbered otherwise */
    char *other = rewritten(second, ',', '.', "\n");
    memcpy(strstr(other, "azimuth_0,110,7,5"), "azimuth_0,90,20,5", 17);
    m = make_two(HEAD POINTS, other, SM_AXES_LPS, circle);
    assert_contains(m.messages.s, "number the base points alike");
    assert_int_equal(m.d.faults, 1);
    made_destroy(&m);
    free(other);
}

/* Onto a case: what is said beside the readings stays, and sides under their names in any letters. */
static void points_go_onto_a_case(void **state)
{
    (void)state;
    made m = {.by = {{.reader = "P"}}};
    const sm_override edge[] = {{"/coronaries/left/ostium_gap",
                                 "{\"readings_mm\": {\"Z\": [1, 2]}, \"bloom_edges\": -1, \"repeat_sd_mm\": 0.4, "
                                 "\"between_reader_sd_mm\": 0.5}"}};
    sm_text text = {0};
    sm_json_doc doc;
    bool no_memory = false;
    assert_int_equal(sm_json_doc_read(&doc, (sm_file_text){"x", smallest, sizeof smallest - 1}, &m.d), SM_OK);
    assert_null(sm_json_doc_put(&doc, edge->pointer, cJSON_Parse(edge->json), &no_memory));
    sm_json_doc_write(doc.root, &text);
    assert_int_equal(sm_draft_read((sm_file_text){"x", text.s, text.len}, &m.d, &m.draft), SM_OK);
    assert_int_equal(sm_points_csv_read((sm_file_text){"a.csv", HEAD POINTS, sizeof HEAD POINTS - 1}, SM_AXES_LPS, &m.d,
                                        &m.by[0].points),
                     SM_OK);
    assert_int_equal(sm_points_case(m.by, 1, 0, &m.d, &m.draft), SM_OK); /* the circle is that of the case, 22.4 */
    assert_int_equal(m.d.n, 0);
    check_json(&m, "/coronaries/left/ostium_gap",
               "{\"readings_mm\": {\"P\": [5.11]}, \"bloom_edges\": -1, \"repeat_sd_mm\": 0.4, "
               "\"between_reader_sd_mm\": 0.5}");
    check_json(&m, "/coronaries/left/stj_gap", "{\"readings_mm\": {\"P\": [2.69]}}");
    check_json(&m, "/implant/frame_height_mm", "19");
    assert_int_equal(sm_draft_check(&m.draft, &m.d), SM_OK);
    made_destroy(&m);
    sm_text_destroy(&text);
    sm_json_doc_destroy(&doc);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_root_comes_back_however_it_is_turned),
        cmocka_unit_test(a_point_is_measured_in_its_frame),
        cmocka_unit_test(a_root_in_wrong_axes_is_refused),
        cmocka_unit_test(ostia_nearly_opposite),
        cmocka_unit_test(lists_of_many_kinds),
        cmocka_unit_test(a_point_of_its_own_is_passed_over),
        cmocka_unit_test(bad_lists),
        cmocka_unit_test(two_files_are_two_readers),
        cmocka_unit_test(points_go_onto_a_case),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
