/* defaults.c - every built-in default in one table: value, unit, grade, range, source and reason.
 *
 * docs/case-format.md states the values, docs/facts.md the grades, ranges and sources. If facts.md confirms a source
 * only from memory the grade is "unconfirmed", and if it found none the grade is "judgement": every output says so.
 *
 * Contents: 1. the table  2. finding a line  3. in words
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/defaults.h"

#include <string.h>

#include "format/json_doc.h"

/* 1. The table */

/* Values, each typed and as text from the same digits: a number, a truth, a word, a distribution, base points, a frame.
 */
#define NUM(x)                                                                                                         \
    {                                                                                                                  \
        .kind = SM_DATUM_NUMBER, .number = x, .json = #x, .plain = #x                                                  \
    }
#define NO                                                                                                             \
    {                                                                                                                  \
        .kind = SM_DATUM_TRUTH, .truth = false, .json = "false", .plain = "false"                                      \
    }
#define WORD(w)                                                                                                        \
    {                                                                                                                  \
        .kind = SM_DATUM_WORD, .json = "\"" w "\"", .plain = w                                                         \
    }
#define TRI(a, m, b)                                                                                                   \
    {                                                                                                                  \
        .kind = SM_DATUM_DIST, .dist = {SM_TRIANGULAR, {a, m, b}},                                                     \
        .json = "{\"triangular\": {\"min\": " #a ", \"mode\": " #m ", \"max\": " #b "}}",                              \
        .plain = "triangular: min " #a ", mode " #m ", max " #b                                                        \
    }
#define UNI(a, b)                                                                                                      \
    {                                                                                                                  \
        .kind = SM_DATUM_DIST, .dist = {SM_UNIFORM, {a, b}},                                                           \
        .json = "{\"uniform\": {\"min\": " #a ", \"max\": " #b "}}", .plain = "uniform: min " #a ", max " #b           \
    }
#define LOGN(m, g)                                                                                                     \
    {                                                                                                                  \
        .kind = SM_DATUM_DIST, .dist = {SM_LOGNORMAL, {m, g}},                                                         \
        .json = "{\"lognormal\": {\"median\": " #m ", \"gsd\": " #g "}}", .plain = "lognormal: median " #m ", gsd " #g \
    }
#define LIST(a, b, c)                                                                                                  \
    {                                                                                                                  \
        .kind = SM_DATUM_LIST, .list = {3, (const double[]){a, b, c}}, .json = "[" #a ", " #b ", " #c "]",             \
        .plain = "[" #a ", " #b ", " #c "]"                                                                            \
    }
#define NORM(m, s)                                                                                                     \
    {                                                                                                                  \
        .kind = SM_DATUM_DIST, .dist = {SM_NORMAL, {m, s}},                                                            \
        .json = "{\"normal\": {\"mean\": " #m ", \"sd\": " #s "}}", .plain = "normal: mean " #m ", sd " #s             \
    }
#define FLARED_TEXT "[[0, 1.02], [0.5, 0.99], [0.75, 1.008], [1, 1.048]]"
#define FLARED                                                                                                         \
    {                                                                                                                  \
        .kind = SM_DATUM_POINTS, .list = {4, (const double[]){0, 1.02, 0.5, 0.99, 0.75, 1.008, 1, 1.048}},             \
        .json = FLARED_TEXT, .plain = FLARED_TEXT                                                                      \
    }
#define STRAIGHT                                                                                                       \
    {                                                                                                                  \
        .kind = SM_DATUM_POINTS, .list = {2, (const double[]){0, 1, 1, 1}}, .json = "[[0, 1], [1, 1]]",                \
        .plain = "[[0, 1], [1, 1]]"                                                                                    \
    }
#define NO_VALUE                                                                                                       \
    {                                                                                                                  \
        .kind = SM_DATUM_NONE                                                                                          \
    }
#define RANGE(a, b)                                                                                                    \
    {                                                                                                                  \
        a, b, #a " to " #b                                                                                             \
    }
#define NO_RANGE                                                                                                       \
    {                                                                                                                  \
        0, 0, NULL                                                                                                     \
    }

#define EI         SM_FACT_ENERGY_INTEGRATING
#define PC         SM_FACT_PHOTON_COUNTING
#define PC_HIGH    SM_FACT_PHOTON_COUNTING_HIGH
#define NONE_FOUND "none found"
#define NOT_STATED "none, a choice of this program"
#define STENTS     "Eur Radiol 2014;24:2953, PMID 25038859 (stents 3.0 mm: 0.39 to 0.70 mm); calcium 0.61 mm (RSNA 2008)"
#define AFTER_IMPLANT                                                                                                  \
    "JACC Cardiovasc Interv 2022;15:496, PMID 35272774 (51 leaflets, CT after implant: completely threatened in 53 "   \
    "of "                                                                                                              \
    "100 below 3.0 mm, or below 1.0 mm at a junction lower than the leaflet)"
#define KAZUNO  "Kazuno, Eur Heart J Cardiovasc Imaging 2016;17:1054, PMC5066339"
#define TZIKAS  "Tzikas, Catheter Cardiovasc Interv 2011, doi 10.1002/ccd.22761"
#define HERRMAN "Herrman, Cathet Cardiovasc Diagn 1994;33:55; Cathet Cardiovasc Diagn 1988;15:121"

/* clang-format off */
static const sm_default table[] = {
    /* group, key, when, value, unit, grade, low, high, source, reason */
    {"scan", "detector", 0, WORD("energy_integrating"), "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "The detector of most CT machines in use; it decides how much bright edges bloom."},
    {"scan", "kernel", 0, WORD("soft"), "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "The usual reconstruction for the heart; it blooms more than a sharp one, so the choice is not the flattering one."},
    {"scan", "blooming_mm", EI | SM_FACT_SOFT, TRI(0.3, 0.6, 0.8), "mm per edge", SM_DERIVED, RANGE(0.3, 0.8), STENTS,
     "How far each bright edge appears displaced; by analogy with stents and calcium, not measured on valves."},
    {"scan", "blooming_mm", EI | SM_FACT_SHARP, TRI(0.2, 0.4, 0.7), "mm per edge", SM_DERIVED, RANGE(0.2, 0.7), STENTS,
     "A sharp kernel blooms less; by analogy with stents and calcium, not measured on valves."},
    {"scan", "blooming_mm", PC, TRI(0.05, 0.2, 0.5), "mm per edge", SM_DERIVED, RANGE(0.05, 0.5),
     "PMC11498892 (error of a diameter 0.41 mm in the standard mode)",
     "Photon-counting CT in its standard mode: half the error of a diameter, an edge; by analogy."},
    {"scan", "blooming_mm", PC_HIGH, TRI(0, 0.05, 0.2), "mm per edge", SM_DERIVED, RANGE(0, 0.2),
     "PMC11498892 (error of a diameter 0.11 mm in the high-resolution mode)",
     "Photon-counting CT in its high-resolution mode blooms least: half the error of a diameter; by analogy."},
    {"scan", "centreline_sd_mm", 0, NUM(0.4), "mm", SM_JUDGEMENT, RANGE(0.2, 0.8), NONE_FOUND,
     "How well a reader hits the valve's centre, per axis."},

    {"base_plane", "radius_mm", 0, NO_VALUE, "mm", SM_DERIVED, NO_RANGE, "half the mean inner diameter of the case",
     "The base points lie on the ring."},
    {"base_plane", "azimuths_deg", 0, LIST(0, 120, 240), "degrees", SM_JUDGEMENT, NO_RANGE, "common practice",
     "The three lowest points of a valve with three leaflets."},
    {"base_plane", "point_sd_mm", 0, NUM(0.7), "mm", SM_JUDGEMENT, RANGE(0.35, 1.4),
     "3 degrees of tilt per axis at a radius of 11 mm, range 1.5 to 6; Gao, Eur J Radiol 2017 (6.4 degrees)",
     "How well a reader hits each base point."},
    {"base_plane", "cuff_wave_mm", 0, NUM(0.5), "mm", SM_JUDGEMENT, RANGE(0, 1), "common practice",
     "Sutured cuffs are visibly wavy; the reader cannot know where on the wave the points were picked."},
    {"base_plane", "placements", SM_FACT_READERS_PLACED, NO_VALUE, "", SM_DERIVED, NO_RANGE,
     "as many as the readers of that quantity",
     "If SDs contain the plane, every reader placed one: the fewest readers of such a quantity."},
    {"base_plane", "placements", 0, NUM(1), "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "One plane placed once, unless the case says that several were."},
    {"base_plane", "tilt_sd_deg", 0, NO_VALUE, "degrees", SM_JUDGEMENT, RANGE(1.5, 6), "Gao, Eur J Radiol 2017",
     "Only if a case states the tilt itself."},

    {"surgical_valve", "ring_height_mm", 0, NUM(2.0), "mm", SM_JUDGEMENT, RANGE(1, 4), NONE_FOUND,
     "Where the waist of the new valve sits above the base plane."},
    {"surgical_valve", "ring_give_mm", SM_FACT_STENTLESS, UNI(0, 1.5), "mm", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "A valve without a stent has no rigid ring and gives way."},
    {"surgical_valve", "ring_give_mm", 0, UNI(0, 0.3), "mm", SM_JUDGEMENT, NO_RANGE,
     "none found; posts move 1 to 3 % of the radius under pressure", "A rigid ring hardly gives way."},
    {"surgical_valve", "eccentricity", 0, LOGN(0.0566, 1.85), "fraction", SM_DERIVED, NO_RANGE,
     "Faure, Eur Radiol 2020;30:2651, PMID 32002643 (n = 152: median 0.055; 44 of 100 below 0.05, 17 above 0.10)",
     "Rings are not quite round; a lognormal that has these shares."},
    {"surgical_valve", "leaflet_thickness_mm", 0, LOGN(0.7, 1.35), "mm", SM_JUDGEMENT, RANGE(0.3, 2.0), NONE_FOUND,
     "Degenerated leaflets are thicker than ordinary ones of 0.5 mm."},
    {"surgical_valve", "mount_offset_mm", SM_FACT_EXTERNAL, TRI(0.3, 0.8, 1.5), "mm", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "Leaflets mounted outside the posts stand off from the frame at a post."},
    {"surgical_valve", "mount_offset_mm", 0, NUM(0), "mm", SM_JUDGEMENT, NO_RANGE, "by design",
     "Leaflets mounted inside, or without posts, do not stand off."},
    {"surgical_valve", "mid_fraction", 0, UNI(0.2, 0.8), "fraction", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "Share of the stand-off that is left half way between two posts."},
    {"surgical_valve", "leaflet_overhang_mm", 0, UNI(0, 3), "mm", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "Free leaflet above the frame that still stands as a wall."},
    {"surgical_valve", "post_azimuth_deg", 0, WORD("unknown"), "degrees", SM_JUDGEMENT, NO_RANGE, "common practice",
     "Posts are often invisible on CT: then any direction is equally likely."},
    {"surgical_valve", "post_block_deg", 0, NUM(15), "degrees", SM_JUDGEMENT, RANGE(10, 25), NONE_FOUND,
     "A post within this angle of the ostium makes laceration useless there."},

    {"implant", "overexpansion", SM_FACT_BALLOON, NORM(0.004, 0.028), "fraction", SM_DERIVED, RANGE(-0.02, 0.05),
     KAZUNO " (area after implant 100.9 +- 5.7 % of nominal)",
     "How far a balloon-expanded valve departs from its nominal diameter; measured in native annuli, by analogy."},
    {"implant", "overexpansion", SM_FACT_SELF, NUM(0), "fraction", SM_JUDGEMENT, NO_RANGE, "by design",
     "A self-expanding valve is not expanded beyond its nominal diameter."},
    {"implant", "flare", SM_FACT_BALLOON, TRI(0, 0.5, 1), "fraction", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "Share of the withheld expansion that the frame recovers at its top; no number was found: treat it as a guess."},
    {"implant", "flare", SM_FACT_SELF, TRI(0, 0.2, 0.5), "fraction", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "Share of the withheld expansion that the frame recovers at its top; no number was found: treat it as a guess."},
    {"implant", "canting_sd_deg", 0, NUM(2), "degrees", SM_JUDGEMENT, RANGE(0, 5), NONE_FOUND,
     "How much the new valve leans, per axis."},
    {"implant", "offset_sd_mm", 0, NUM(0.3), "mm", SM_JUDGEMENT, RANGE(0, 1), NONE_FOUND,
     "How far off centre the new valve sits, per axis."},
    {"implant", "shape", SM_FACT_BALLOON, FLARED, "fraction of height, relative diameter", SM_DERIVED, NO_RANGE,
     "Eur Heart J Cardiovasc Imaging 2018;19:1408 (year and pages from memory; CT of 239 native valves) and " KAZUNO,
     "A balloon-expanded frame is not straight after implant: its top stands 5 % wider; by analogy. The top may be 1.00 "
     "to 1.08."},
    {"implant", "shape", 0, STRAIGHT, "fraction of height, relative diameter", SM_JUDGEMENT, NO_RANGE,
     NOT_STATED, "A straight frame, unless the case gives its waist."},

    {"ostium_height", "reader_sd_mm", 0, NUM(0.8), "mm", SM_JUDGEMENT, RANGE(0.5, 1.2),
     "none found; agrees with del Valle-Fernandez, Eur Heart J 2010;31:2170, doi 10.1093/eurheartj/ehq093 (1.2 mm "
     "with the plane's error)", "One reader, one scan, plane fixed."},
    {"ostium_gap", "reader_sd_mm", 0, NUM(0.6), "mm", SM_JUDGEMENT, RANGE(0.4, 1.0), NONE_FOUND, "One reader, one scan."},
    {"stj_height", "reader_sd_mm", 0, NUM(1.0), "mm", SM_JUDGEMENT, RANGE(0.7, 1.5), "by analogy",
     "One reader, one scan, plane fixed."},
    {"stj_gap", "reader_sd_mm", 0, NUM(0.6), "mm", SM_JUDGEMENT, RANGE(0.4, 1.0), NONE_FOUND, "One reader, one scan."},
    {"leaflet_height", "reader_sd_mm", 0, NUM(1.0), "mm", SM_JUDGEMENT, RANGE(0.7, 1.5), "by analogy",
     "One reader, one scan, plane fixed."},
    {"inner_diameter", "reader_sd_mm", 0, NUM(0.5), "mm", SM_DERIVED, RANGE(0.4, 0.9),
     "Schmidkonz, Eur J Radiol 2014;83:1672, PMID 25022977 (0.42 to 0.50); " TZIKAS " (0.58)",
     "One reader, one scan; from annulus readings."},
    {"leaflet_thickness", "reader_sd_mm", 0, NUM(0.3), "mm", SM_JUDGEMENT, NO_RANGE, NONE_FOUND, "One reader, one scan."},
    {"ostium_height", "bloom_edges", 0, NUM(0), "edges", SM_JUDGEMENT, NO_RANGE, "by geometry",
     "The border of a contrast-filled vessel against its soft wall is taken as not displaced."},
    {"ostium_gap", "bloom_edges", 0, NUM(0), "edges", SM_JUDGEMENT, NO_RANGE, "by geometry",
     "Contrast against soft wall: no correction unless the case states that an edge is bright (-1)."},
    {"stj_height", "bloom_edges", 0, NUM(0), "edges", SM_JUDGEMENT, NO_RANGE, "by geometry",
     "The border of a contrast-filled vessel against its soft wall is taken as not displaced."},
    {"stj_gap", "bloom_edges", 0, NUM(0), "edges", SM_JUDGEMENT, NO_RANGE, "by geometry",
     "Contrast against soft wall: no correction unless the case states that an edge is bright (-1)."},
    {"leaflet_height", "bloom_edges", 0, NUM(0), "edges", SM_JUDGEMENT, RANGE(-1, 1), "by geometry",
     "The top of a bright leaflet reads tall by one edge (1), that of a soft one beside contrast short by one (-1)."},
    {"inner_diameter", "bloom_edges", 0, NUM(-2), "edges", SM_JUDGEMENT, NO_RANGE, "by geometry",
     "The inside of a bright ring reads small by two edges."},
    {"leaflet_thickness", "bloom_edges", 0, NUM(2), "edges", SM_JUDGEMENT, NO_RANGE, "by geometry",
     "A bright leaflet reads thick by two edges."},
    {"reading", "sd_from_readings", 0, NO, "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "The SD comes from a study of readers, not from the few readings of one case."},
    {"reading", "sd_includes_plane", 0, NO, "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "The SDs are for reading again in a fixed plane and centreline."},
    {"reading", "resolution_mm", 0, NUM(0), "mm", SM_JUDGEMENT, NO_RANGE, "doi 10.1186/s42492-022-00125-0; SCCT 2019",
     "Off: the reader SD already contains the scan's resolution of about 0.5 mm."},

    {"cross_check", "reader_sd_mm", SM_FACT_FLUOROSCOPY, NUM(1.3), "mm", SM_DERIVED, RANGE(1.0, 1.9),
     TZIKAS " (limits -3.5 to 3.8 mm)", "One reader on fluoroscopy."},
    {"cross_check", "reader_sd_mm", SM_FACT_ECHO, NUM(1.6), "mm", SM_DERIVED, RANGE(1.2, 2.3),
     TZIKAS " (limits -4.2 to 4.8 mm)", "One reader on transthoracic echo."},
    {"cross_check", "magnification_sd", SM_FACT_FLUOROSCOPY, NUM(0.04), "fraction", SM_DERIVED, RANGE(0.02, 0.08), HERRMAN,
     "How well the scale of the picture is known; a contrast-filled catheter as ruler reads 4 to 15 % low."},
    {"cross_check", "magnification_sd", SM_FACT_ECHO, NUM(0.02), "fraction", SM_JUDGEMENT, NO_RANGE, NONE_FOUND,
     "Echo measures its own scale."},
    {"cross_check", "view_error_sd_deg", 0, NUM(9.5), "degrees", SM_DERIVED, NO_RANGE,
     "Murphy, Heart 2018;104(S7):A7 (CT against the view on the table, SD 9.7 and 9.3 degrees)",
     "How far the view misses the plane: foreshortening is 0.4 % at 5 degrees, 1.5 % at 10, 6 % at 20."},
    {"cross_check", "spoiled", 0, NUM(0.05), "probability", SM_JUDGEMENT, RANGE(0.01, 0.2), NONE_FOUND,
     "How probable it is that one of the two readings is about something else: wrong landmark, wrong view, a slip of "
     "typing."},

    {"limits", "published_set", 0, WORD("planning"), "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "Which published limits hold unless stated: planning (room foreseen, 4 and 2 mm) or after_implant (room on CT "
     "after implant, 3 and 1 mm)."},
    {"limits", "ostium_clearance_mm", SM_FACT_AFTER_IMPLANT, NUM(3.0), "mm", SM_PUBLISHED, NO_RANGE, AFTER_IMPLANT,
     "Less room than this between tube and ostium: crowded."},
    {"limits", "stj_clearance_mm", SM_FACT_AFTER_IMPLANT, NUM(1.0), "mm", SM_PUBLISHED, NO_RANGE, AFTER_IMPLANT,
     "Less room than this between tube and sinotubular junction: sealed."},
    {"implant", "frame_height_mm", SM_FACT_BALLOON, NUM(18), "mm", SM_JUDGEMENT, RANGE(14, 23), NONE_FOUND,
     "Stands in for the height of this device, which its maker states; balloon-expanded frames are short."},
    {"implant", "frame_height_mm", SM_FACT_SELF, NUM(45), "mm", SM_JUDGEMENT, RANGE(20, 55), NONE_FOUND,
     "Stands in for the height of this device, which its maker states; self-expanding frames are of every height."},
    {"implant", "skirt_height_mm", SM_FACT_BALLOON, NUM(9), "mm", SM_JUDGEMENT, RANGE(6, 12), NONE_FOUND,
     "Stands in for the height of this device's skirt, which its maker states."},
    {"implant", "skirt_height_mm", SM_FACT_SELF, NUM(13), "mm", SM_JUDGEMENT, RANGE(9, 16), NONE_FOUND,
     "Stands in for the height of this device's skirt, which its maker states."},
    {"coronary", "azimuth_deg", SM_FACT_LEFT, NUM(35), "degrees", SM_JUDGEMENT, RANGE(0, 70), NONE_FOUND,
     "Where the left ostium mostly stands, counted from its sinus; it hardly matters while posts are unknown."},
    {"coronary", "azimuth_deg", SM_FACT_RIGHT, NUM(160), "degrees", SM_JUDGEMENT, RANGE(130, 200), NONE_FOUND,
     "Where the right ostium mostly stands, about 125 degrees from the left; it hardly matters while posts are unknown."},
    {"limits", "ostium_clearance_mm", 0, NUM(4.0), "mm", SM_PUBLISHED, NO_RANGE,
     "Khan, JACC Cardiovasc Interv 2023;16:415, PMC9991077 (native valves); the same cut-off in Ribeiro, Eur Heart J "
     "2018;39:687 only from memory", "Less room than this between tube and ostium: crowded."},
    {"limits", "stj_clearance_mm", 0, NUM(2.0), "mm", SM_PUBLISHED, NO_RANGE, "JACC Asia 2024;4(1):40, PMC10782399, table 1",
     "Less room than this between tube and sinotubular junction: sealed."},
    {"limits", "reach_margin_mm", 0, NUM(0), "mm", SM_JUDGEMENT, NO_RANGE, "JACC Asia 2024;4(1):40, PMC10782399 (commissures above the junction)",
     "A sinus is sealed where the tube reaches the junction itself; one that ends just below may seal it too."},
    {"limits", "reference_thickness_mm", 0, NUM(0.5), "mm", SM_UNCONFIRMED, NO_RANGE, "from memory: not confirmed",
     "The ordinary leaflet already inside the published limits; only thickness beyond it takes room."},
    {"limits", "reference_blooming_mm", 0, NUM(0.0), "mm per edge", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "The published limits are taken to refer to the true room, not to readings that bloomed."},
    {"limits", "basis", 0, WORD("tube"), "", SM_JUDGEMENT, NO_RANGE, NOT_STATED,
     "The limits are applied to the physical clearance beside the tube."},

    {"population", "ostium_gap_mm", 0, NORM(6.30, 2.16), "mm", SM_PUBLISHED, NO_RANGE,
     "Ribeiro, Eur Heart J 2018;39:687 (6.30 +- 2.34 mm in 90 without obstruction), less a reading error of 0.9 mm",
     "How common true ostium gaps are among such patients; a second number beside the answer, never in it."},

    {"gantry", "rao_deg", 0, NUM(90), "degrees", SM_JUDGEMENT, NO_RANGE, NONE_FOUND, "How far a C-arm turns to the patient's right."},
    {"gantry", "lao_deg", 0, NUM(90), "degrees", SM_JUDGEMENT, NO_RANGE, NONE_FOUND, "How far a C-arm turns to the patient's left."},
    {"gantry", "caudal_deg", 0, NUM(40), "degrees", SM_JUDGEMENT, NO_RANGE, NONE_FOUND, "How far a C-arm tilts toward the feet before it meets the patient."},
    {"gantry", "cranial_deg", 0, NUM(40), "degrees", SM_JUDGEMENT, NO_RANGE, NONE_FOUND, "How far a C-arm tilts toward the head before it meets the patient."},
};
/* clang-format on */

#define TABLE_LINES (sizeof table / sizeof *table)

/* 2. Finding a line */

size_t sm_defaults_count(void)
{
    return TABLE_LINES;
}

const sm_default *sm_defaults_line(size_t i)
{
    return i < TABLE_LINES ? &table[i] : NULL;
}

/* The first bytes differ more often than not, and spare the call: every version of a case asks for each of its keys. */
static bool same_word(const char *a, const char *b)
{
    return a[0] == b[0] && strcmp(a, b) == 0;
}

const sm_default *sm_defaults_find(const char *group, const char *key, unsigned facts)
{
    for (size_t i = 0; i < TABLE_LINES; i++)
        if ((table[i].when & ~facts) == 0 && same_word(table[i].group, group) && same_word(table[i].key, key))
            return &table[i];
    return NULL;
}

/* 3. In words */

const char *sm_grade_name(sm_grade g)
{
    static const char *const names[] = {"stated", "published", "derived", "judgement", "unconfirmed"};
    return (unsigned)g <= SM_UNCONFIRMED ? names[g] : "unknown grade";
}

/* The facts in the words of a case file. */
static const char *const fact_words[] = {"energy-integrating detector",
                                         "photon-counting detector, standard mode",
                                         "soft kernel",
                                         "sharp kernel",
                                         "leaflets inside",
                                         "leaflets outside the posts",
                                         "stentless",
                                         "balloon-expanded",
                                         "self-expanding",
                                         "fluoroscopy",
                                         "echo",
                                         "photon-counting detector, high-resolution mode",
                                         "planning limits",
                                         "limits after implant",
                                         "SDs that include the plane",
                                         "a coronary called left",
                                         "a coronary called right"};

void sm_defaults_when_write(unsigned when, sm_text *out)
{
    const char *before = " (";
    for (size_t i = 0; i < sizeof fact_words / sizeof *fact_words; i++)
        if (when >> i & 1) {
            sm_text_addf(out, "%s%s", before, fact_words[i]);
            before = ", ";
        }
    if (when)
        sm_text_puts(out, ")");
}
