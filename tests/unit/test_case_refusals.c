/* test_case_refusals.c - every refusal of docs/case-format.md, with its place and its words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

/* 1. Changes to the documented example: `from` (standing once in it) becomes `to`; the messages must hold the place
 * (": /pointer: ") and the words. */
typedef struct {
    const char *from, *to, *pointer, *words;
} change;

static const change refused[] = {
    /* the whole file */
    {"slimmargin-case-1", "slimmargin-case-9", "/format",
     "found \"slimmargin-case-9\", expected \"slimmargin-case-1\""},
    {"\"format\": \"slimmargin-case-1\",", "", "", "the key \"format\" is missing, expected in a case"},
    {"\"case\": \"harbour-07\",", "", "", "the key \"case\" is missing"},
    {"\"harbour-07\"", "\"harbour 07\"", "/case",
     "found \"harbour 07\", expected 1 to 64 letters, digits or characters of ._-"},
    {"\"harbour-07\"", "\"\"", "/case", "found \"\", expected 1 to 64 letters"},
    {"\"harbour-07\"", "\"a123456789b123456789c123456789d123456789e123456789f123456789g1234\"", "/case",
     "expected 1 to 64"},
    {"\"harbour-07\"", "7", "/case", "found 7, expected a text"},
    {"\"Invented example.\"", "[]", "/note", "found a list, expected a text"},
    {"\"Invented example.\"", "\"two\\nlines\"", "/note", "found a text with a control character"},
    {"\"site.json\"", "null", "/profile", "found null (not filled in), expected a text"},
    {"\"limits\": {", "\"limitz\": {", "/limitz",
     "found the unknown key \"limitz\", expected a key of a case: did you mean \"limits\"?"},
    {"\"note\":", "\"Note\":", "/Note", "found the key \"Note\", expected small letters: did you mean \"note\"?"},
    {"\"note\":", "\"zzzzzzzzzz\":", "/zzzzzzzzzz", "expected a key of a case: format, case, note, profile, scan"},
    {"\"note\":", "\"case\":", "/case", "found the key \"case\" more than once in the same object"},
    {"\"note\":", "\"centreline_sd_mm\":", "/centreline_sd_mm",
     "found the key \"centreline_sd_mm\" in a case, expected it in the scan"},
    /* types and infinite numbers */
    {"\"centreline_sd_mm\": 0.4", "\"centreline_sd_mm\": \"0.4\"", "/scan/centreline_sd_mm",
     "found \"0.4\", expected a number from 0 to 5 (mm)"},
    {"\"centreline_sd_mm\": 0.4", "\"centreline_sd_mm\": {\"normal\": {\"mean\": 1, \"sd\": 1}}",
     "/scan/centreline_sd_mm", "found an object, expected a number"},
    {"\"centreline_sd_mm\": 0.4", "\"centreline_sd_mm\": 1e999", "/scan/centreline_sd_mm",
     "found 1e999, which is too large for a number, expected a finite number"},
    {"\"centreline_sd_mm\": 0.4", "\"centreline_sd_mm\": null", "/scan/centreline_sd_mm",
     "found null (not filled in), expected a number"},
    {"\"centreline_sd_mm\": 0.4", "\"centreline_sd_mm\": true", "/scan/centreline_sd_mm",
     "found true, expected a number"},
    {"\"detector\": \"energy_integrating\"", "\"detector\": \"photon counting\"", "/scan/detector",
     "expected \"energy_integrating\", \"photon_counting\" or \"photon_counting_high_resolution\": did you mean "
     "\"photon_counting\"?"},
    {"\"kernel\": \"soft\"", "\"kernel\": 3", "/scan/kernel", "found 3, expected \"soft\" or \"sharp\""},
    {"\"limits\": {\"ostium", "\"limits\": 5, \"x\": {\"ostium", "/limits", "found 5, expected an object { }"},
    {"\"alternatives\": [", "\"alternatives\": 5, \"x\": [", "/alternatives",
     "found 5, expected a list of at most 50 alternatives"},
    {"\"action_line\": 0.20", "\"action_line\": 0", "/action_line", "found 0, expected a number above 0 and below 1"},
    {"\"action_line\": 0.20", "\"action_line\": 1", "/action_line", "found 1, expected a number above 0 and below 1"},
    /* distributions */
    {"{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}", "{\"min\": 0.2, \"mode\": 0.9, \"max\": 0.8}",
     "/scan/blooming_mm/triangular", "found impossible parameters of triangular: "},
    {"{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}", "{\"min\": 0.2, \"max\": 0.8}", "/scan/blooming_mm/triangular",
     "the parameter \"mode\" is missing, expected in triangular"},
    {"{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}", "{\"min\": 0.2, \"mode\": \"x\", \"max\": 0.8}",
     "/scan/blooming_mm/triangular/mode", "found \"x\", expected a number"},
    {"{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}", "{\"min\": 0.2, \"mode\": 0.5, \"mx\": 0.8}",
     "/scan/blooming_mm/triangular/mx", "expected a key of triangular: did you mean \"max\"?"},
    {"{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}", "[0.2, 0.5, 0.8]", "/scan/blooming_mm/triangular",
     "found a list, expected an object with the parameters of triangular"},
    {"{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}",
     "{\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}, \"constant\": {\"value\": 1}}", "/scan/blooming_mm",
     "found 2 keys, expected exactly one family"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{}", "/scan/blooming_mm",
     "found 0 keys, expected exactly one family"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "\"much\"", "/scan/blooming_mm",
     "found \"much\", expected a number or a distribution from 0 to 3 (mm per edge)"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{\"triangle\": {\"min\": 0.2}}",
     "/scan/blooming_mm/triangle", "expected a family of distributions (constant, normal,"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{\"triangulr\": {\"min\": 0.2}}",
     "/scan/blooming_mm/triangulr", "did you mean \"triangular\"?"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{\"normal\": {\"mean\": 0.5, \"sd\": 0.1}}",
     "/scan/blooming_mm",
     "found a normal distribution that can go below 0, expected values of 0 or more: use truncated_normal"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{\"uniform\": {\"min\": 0, \"max\": 4}}",
     "/scan/blooming_mm", "whose 99 % quantile is 3.96, expected its 1 % and 99 % quantiles from 0 to 3"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{\"constant\": {\"value\": 3.5}}",
     "/scan/blooming_mm", "found 3.5, expected a number from 0 to 3"},
    {"{\"triangular\": {\"min\": 0.2, \"mode\": 0.5, \"max\": 0.8}}", "{\"uniform\": {\"min\": -1e999, \"max\": 1}}",
     "/scan/blooming_mm/uniform/min", "found -1e999, which is too large"},
    {"{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}}", "{\"normal\": {\"mean\": 22.3, \"sd\": -0.3}}",
     "/surgical_valve/inner_diameter_mm/normal", "sd must not be below 0"},
    {"{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}}", "{\"norml\": {\"mean\": 22.3, \"sd\": 0.3}}",
     "/surgical_valve/inner_diameter_mm/norml", "did you mean \"normal\"?"},
    {"{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}}", "{\"normal\": {\"mean\": 13, \"sd\": 1}}",
     "/surgical_valve/inner_diameter_mm",
     "whose 1 % quantile is 10.67, expected its 1 % and 99 % quantiles from 12 to 35 (mm)"},
    {"{\"lognormal\": {\"median\": 0.7, \"gsd\": 1.35}}",
     "{\"student_t\": {\"location\": 0.7, \"scale\": 0.1, \"dof\": 5}}", "/surgical_valve/leaflet_thickness_mm",
     "found a student_t distribution that can go below 0"},
    {"{\"uniform\": {\"min\": 0.0, \"max\": 0.3}}", "{\"uniform\": {\"min\": -0.1, \"max\": 0.3}}",
     "/surgical_valve/ring_give_mm", "found a uniform distribution that can go below 0"},
    {"{\"min\": 0.02, \"mode\": 0.055, \"max\": 0.10}", "{\"min\": -0.02, \"mode\": 0.055, \"max\": 0.10}",
     "/surgical_valve/eccentricity", "can go below 0"},
    {"{\"min\": 0.3, \"mode\": 0.8, \"max\": 1.5}", "{\"min\": -0.3, \"mode\": 0.8, \"max\": 1.5}",
     "/surgical_valve/mount_offset_mm", "can go below 0"},
    {"{\"uniform\": {\"min\": 0.0, \"max\": 3.0}}", "{\"uniform\": {\"min\": -1, \"max\": 3.0}}",
     "/surgical_valve/leaflet_overhang_mm", "can go below 0"},
    /* scan */
    {"\"azimuths_deg\": [0, 120, 240]", "\"azimuths_deg\": [0, 120]", "/scan/base_plane/azimuths_deg",
     "found a list of another length, expected a list of three directions"},
    {"\"azimuths_deg\": [0, 120, 240]", "\"azimuths_deg\": 120", "/scan/base_plane/azimuths_deg",
     "found 120, expected a list of three directions"},
    {"\"azimuths_deg\": [0, 120, 240]", "\"azimuths_deg\": [10, 120, 311]", "/scan/base_plane/azimuths_deg",
     "found base points 59 degrees apart (311 and 10), expected at least 60"},
    {"\"azimuths_deg\": [0, 120, 240]", "\"azimuths_deg\": [0, 120, 720]", "/scan/base_plane/azimuths_deg/2",
     "found 720, expected a number from -360 to 360"},
    {"\"placements\": 1", "\"placements\": 1.5", "/scan/base_plane/placements",
     "found 1.5, expected a whole number from 1 to 20"},
    {"\"placements\": 1", "\"placements\": 0", "/scan/base_plane/placements",
     "found 0, expected a whole number from 1 to 20"},
    {"\"placements\": 1", "\"placements\": 21", "/scan/base_plane/placements",
     "found 21, expected a whole number from 1 to 20"},
    {"\"placements\": 1", "\"tilt_sd_deg\": 3, \"level_sd_mm\": 0.5", "/scan/base_plane/tilt_sd_deg",
     "found tilt_sd_deg together with radius_mm, expected either"},
    {"{\"radius_mm\": 11.5, \"azimuths_deg\": [0, 120, 240], \"point_sd_mm\": 0.7, \"cuff_wave_mm\": 0.6, "
     "\"placements\": 1}",
     "{\"tilt_sd_deg\": 3}", "/scan/base_plane", "the key \"level_sd_mm\" is missing, expected beside \"tilt_sd_deg\""},
    {"{\"radius_mm\": 11.5, \"azimuths_deg\": [0, 120, 240], \"point_sd_mm\": 0.7, \"cuff_wave_mm\": 0.6, "
     "\"placements\": 1}",
     "{\"level_sd_mm\": 3}", "/scan/base_plane", "the key \"tilt_sd_deg\" is missing"},
    {"{\"radius_mm\": 11.5, \"azimuths_deg\": [0, 120, 240], \"point_sd_mm\": 0.7, \"cuff_wave_mm\": 0.6, "
     "\"placements\": 1}",
     "7", "/scan/base_plane", "found 7, expected an object"},
    /* surgical valve */
    {"\"leaflet_mount\": \"external\",", "", "/surgical_valve",
     "the key \"leaflet_mount\" is missing (where the old leaflets are mounted), expected in the surgical valve"},
    {"\"leaflet_mount\": \"external\"", "\"leaflet_mount\": \"internal\"", "/surgical_valve/mount_offset_mm",
     "found mount_offset_mm other than 0 with leaflets that are not mounted outside"},
    {"\"leaflet_mount\": \"external\"", "\"leaflet_mount\": \"stentless\"", "/surgical_valve/post_azimuth_deg",
     "found post_azimuth_deg on a stentless valve, expected none: it has no posts"},
    {"\"leaflet_mount\": \"external\"", "\"leaflet_mount\": \"stentless\"", "/surgical_valve/post_block_deg",
     "found post_block_deg on a stentless valve"},
    {"\"leaflet_mount\": \"external\"", "\"leaflet_mount\": \"inside\"", "/surgical_valve/leaflet_mount",
     "expected \"internal\", \"external\" or \"stentless\""},
    {"\"post_azimuth_deg\": \"unknown\"", "\"post_azimuth_deg\": \"unkown\"", "/surgical_valve/post_azimuth_deg",
     "expected \"unknown\", a number or a distribution"},
    {"\"post_azimuth_deg\": \"unknown\"", "\"post_azimuth_deg\": 361", "/surgical_valve/post_azimuth_deg",
     "found 361, expected a number from -360 to 360"},
    {"\"ring_height_mm\": 2.5", "\"ring_height_mm\": 12.9", "/surgical_valve/ring_height_mm",
     "found the ring at 12.9 mm and the frame's top at 12.67 mm"},
    {"\"inner_diameter_mm\": {\"normal\": {\"mean\": 22.3, \"sd\": 0.3}},", "", "/surgical_valve",
     "the key \"inner_diameter_mm\" is missing"},
    /* implant */
    {"\"expansion\": \"balloon\",", "", "/implant", "the key \"expansion\" is missing"},
    {"\"nominal_diameter_mm\": 24.5,", "", "/implant", "the key \"nominal_diameter_mm\" is missing"},
    {"\"implant_depth_mm\": {\"normal\": {\"mean\": 4.0, \"sd\": 1.0}},", "", "/implant",
     "the key \"implant_depth_mm\" is missing"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 19.5", "/implant/skirt_height_mm",
     "found skirt_height_mm 19.5 above frame_height_mm 19, expected from 0 to the frame's height"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": [[0, 1]]", "/implant/shape",
     "found a list of another length, expected a list of 2 to 32 points"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": \"waisted\"", "/implant/shape",
     "found \"waisted\", expected a list of 2 to 32 points"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": [[0, 1], [0.5, 0.9]]", "/implant/shape",
     "do not rise from 0 to 1"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": [[0.1, 1], [1, 0.9]]", "/implant/shape",
     "do not rise from 0 to 1"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": [[0, 1], [0.5, 0.9], [0.5, 0.8], [1, 1]]",
     "/implant/shape", "do not rise from 0 to 1"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": [[0, 1], [1, 2.1]]", "/implant/shape/1/1",
     "found 2.1, expected a number from 0.3 to 2"},
    {"\"skirt_height_mm\": 9.0", "\"skirt_height_mm\": 9.0, \"shape\": [[0, 1], [1]]", "/implant/shape/1",
     "found a list, expected a point [fraction of height, relative diameter]"},
    {"{\"min\": -0.02, \"mode\": 0.0, \"max\": 0.05}", "{\"min\": -0.3, \"mode\": 0.0, \"max\": 0.05}",
     "/implant/overexpansion", "1 % quantile is -0.26"},
    {"{\"min\": 0.1, \"mode\": 0.5, \"max\": 1.0}", "{\"min\": 0.1, \"mode\": 0.5, \"max\": 2.0}", "/implant/flare",
     "99 % quantile is 1.8"},
    /* coronaries */
    {"\"left\":  {", "\"le ft\":  {", "/coronaries/le ft",
     "found the name \"le ft\", expected 1 to 32 letters, digits, _ or -"},
    {"\"left\":  {", "\"a123456789b123456789c123456789d12\":  {", "/coronaries/a123456789b123456789c123456789d12",
     "expected 1 to 32 letters"},
    {"\"left\":  {", "\"right\":  {", "/coronaries/right", "found the key \"right\" more than once"},
    {"\"left\":  {", "\"l/r~\":  {", "/coronaries/l~1r~0", "expected 1 to 32 letters"},
    {"\"right\": {\"azimuth_deg\"", "\"x\": 5, \"right\": {\"azimuth_deg\"", "/coronaries/x",
     "found 5, expected an object with the readings of this coronary"},
    {"\"left\":  {\"azimuth_deg\": 35, ", "\"upper\":  {", "/coronaries/upper",
     "the key \"azimuth_deg\" is missing (direction of the ostium), expected in a coronary"},
    {"\"azimuth_deg\": 35, ", "\"azimuth\": 35, ", "/coronaries/left/azimuth", "did you mean \"azimuth_deg\"?"},
    {"\"ostium_height\": 12.2, ", "", "/coronaries/right", "the key \"ostium_height\" is missing"},
    {"\"ostium_gap\": 7.2", "\"ostium_gap\": -5.1", "/coronaries/right/ostium_gap",
     "found -5.1, expected a number from -5 to 30 (mm)"},
    {"\"ostium_gap\": 7.2", "\"ostium_gap\": \"7.2\"", "/coronaries/right/ostium_gap",
     "found \"7.2\", expected a reading, a number or a distribution"},
    {"\"ostium_gap\": 7.2", "\"ostium_gap\": [7.2]", "/coronaries/right/ostium_gap",
     "found a list, expected a reading"},
    {"\"ostium_gap\": 7.2", "\"ostium_gap\": {}", "/coronaries/right/ostium_gap", "the key \"readings_mm\" is missing"},
    {"\"ostium_gap\": 7.2", "\"ostium_gap\": {\"uniform\": {\"min\": 7, \"max\": 40}}", "/coronaries/right/ostium_gap",
     "from -5 to 30"},
    {"\"stj_height\": 18.6", "\"stj_height\": 7", "/coronaries/right/stj_height",
     "found the STJ at 7 mm, 5.2 mm below the ostium at 12.2 mm; expected it above, or below by no more than 3 of "
     "their combined SD (3.842 mm)"},
    /* readings */
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{}", "/coronaries/left/ostium_height/readings_mm",
     "found an object without readers, expected an object of 1 to 50 readers"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "[9.1]", "/coronaries/left/ostium_height/readings_mm",
     "found a list, expected an object of 1 to 50 readers"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{\"A\": 9.1}", "/coronaries/left/ostium_height/readings_mm/A",
     "found 9.1, expected a list of 1 to 50 readings"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{\"A\": []}", "/coronaries/left/ostium_height/readings_mm/A",
     "found a list without readings"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{\"A\": [9.1, \"9.4\"]}", "/coronaries/left/ostium_height/readings_mm/A/1",
     "found \"9.4\", expected a number from 1 to 60 (mm)"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{\"A\": [0.5]}", "/coronaries/left/ostium_height/readings_mm/A/0",
     "found 0.5, expected a number from 1 to 60 (mm)"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{\"A\": [9.1], \"A\": [9.9]}",
     "/coronaries/left/ostium_height/readings_mm/A", "more than once"},
    {"{\"A\": [9.1, 9.4], \"B\": [9.9]}", "{\"\": [9.1]}", "/coronaries/left/ostium_height/readings_mm/",
     "found a reader's name of 0 characters"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"dof\": 18", "/coronaries/left/ostium_height/dof",
     "found dof without an SD beside it"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"repeat_sd_mm\": 0.4, \"dof\": 2.9", "/coronaries/left/ostium_height/dof",
     "found 2.9, expected a number of 3 or more"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"repeat_sd_mm\": -0.1", "/coronaries/left/ostium_height/repeat_sd_mm",
     "found -0.1, expected a number from 0 to 10 (mm)"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"between_reader_sd_mm\": 10.1",
     "/coronaries/left/ostium_height/between_reader_sd_mm", "found 10.1, expected a number from 0 to 10"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"sd_from_readings\": true", "/coronaries/left/ostium_height/sd_from_readings",
     "found sd_from_readings with 3 readings, expected at least 4"},
    {"\"B\": [9.9]}", "\"B\": [9.9, 9]}, \"sd_from_readings\": true, \"sd_includes_plane\": true",
     "/coronaries/left/ostium_height/sd_includes_plane", "found sd_includes_plane together with sd_from_readings"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"sd_includes_plane\": true", "/coronaries/left/ostium_height/sd_includes_plane",
     "found sd_includes_plane without an SD beside it"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"sd_from_readings\": 1", "/coronaries/left/ostium_height/sd_from_readings",
     "found 1, expected true or false"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"bloom_edges\": -2.5", "/coronaries/left/ostium_height/bloom_edges",
     "found -2.5, expected a number from -2 to 2 (edges)"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"resolution_mm\": 3.5", "/coronaries/left/ostium_height/resolution_mm",
     "found 3.5, expected a number from 0 to 3"},
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"bloom_edge\": 1", "/coronaries/left/ostium_height/bloom_edge",
     "expected a key of a read quantity: did you mean \"bloom_edges\"?"},
    /* cross-checks */
    {"\"B\": [9.9]}", "\"B\": [9.9]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}}",
     "/coronaries/left/ostium_height/cross_check",
     "found a cross_check on ostium_height, expected only on ostium_gap, stj_gap, leaflet_height, inner_diameter_mm "
     "and "
     "leaflet_thickness_mm"},
    {"{\"A\": [5.7]}", "{\"A\": [5.7]}, \"cross_check\": {\"readings_mm\": {\"A\": [6]}}",
     "/coronaries/left/ostium_gap/cross_check", "the key \"modality\" is missing"},
    {"{\"A\": [5.7]}", "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\"}",
     "/coronaries/left/ostium_gap/cross_check", "the key \"readings_mm\" is missing"},
    {"{\"A\": [5.7]}", "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"ultrasound\", \"readings_mm\": {\"A\": [6]}}",
     "/coronaries/left/ostium_gap/cross_check/modality", "found \"ultrasound\", expected \"fluoroscopy\" or \"echo\""},
    {"{\"A\": [5.7]}", "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [31]}}",
     "/coronaries/left/ostium_gap/cross_check/readings_mm/A/0", "found 31, expected a number from -5 to 30"},
    {"{\"A\": [5.7]}",
     "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}, \"reader_sd_mm\": 11}",
     "/coronaries/left/ostium_gap/cross_check/reader_sd_mm", "from 0 to 10"},
    {"{\"A\": [5.7]}",
     "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}, \"magnification_sd\": "
     "0.31}",
     "/coronaries/left/ostium_gap/cross_check/magnification_sd", "from 0 to 0.3"},
    {"{\"A\": [5.7]}",
     "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}, \"view_error_sd_deg\": "
     "31}",
     "/coronaries/left/ostium_gap/cross_check/view_error_sd_deg", "from 0 to 30"},
    {"{\"A\": [5.7]}", "{\"A\": [5.7]}, \"cross_check\": true", "/coronaries/left/ostium_gap/cross_check",
     "found true, expected an object"},
    {"{\"A\": [5.7]}",
     "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}, \"spoilt\": 0.1}",
     "/coronaries/left/ostium_gap/cross_check/spoilt", "did you mean \"spoiled\"?"},
    {"{\"A\": [5.7]}",
     "{\"A\": [5.7]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [6]}}, \"spoiled\": 0.1",
     "/coronaries/left/ostium_gap/spoiled",
     "found the key \"spoiled\" in a read quantity, expected it in a cross-check"},
    /* limits */
    {"\"basis\": \"tube\"", "\"basis\": \"circle\"", "/limits/basis",
     "found \"circle\", expected \"tube\" or \"drawn_circle\""},
    /* alternatives */
    {"\"name\": \"smaller device\", ", "", "/alternatives/0",
     "the key \"name\" is missing, expected in an alternative"},
    {"\"name\": \"smaller device\"", "\"name\": \"as planned\"", "/alternatives/0/name",
     "found the name \"as planned\", expected another"},
    {"\"name\": \"smaller device\"", "\"name\": \"\"", "/alternatives/0/name", "found a text of 0 characters"},
    {"\"name\": \"lacerate the left leaflet\"", "\"name\": \"smaller device\"", "/alternatives/2/name",
     "found the name of an earlier alternative"},
    {"{\"nominal_diameter_mm\": 22.5}", "{\"nominal_diametre_mm\": 22.5}",
     "/alternatives/0/implant/nominal_diametre_mm", "did you mean \"nominal_diameter_mm\"?"},
    {"{\"nominal_diameter_mm\": 22.5}", "{\"nominal_diameter_mm\": 14}", "/alternatives/0/implant/nominal_diameter_mm",
     "found 14, expected a number from 15 to 40 (mm)"},
    {"{\"nominal_diameter_mm\": 22.5}", "{\"frame_height_mm\": 8.5}", "/alternatives/0/implant/frame_height_mm",
     "found the ring at 2.5 mm and the frame's top at 2.174 mm"},
    {"{\"nominal_diameter_mm\": 22.5}", "{\"frame_height_mm\": 8.5}", "/alternatives/0/implant/frame_height_mm",
     "found skirt_height_mm 9 above frame_height_mm 8.5"},
    {"\"implant\": {\"nominal_diameter_mm\": 22.5}", "\"surgical_valve\": {\"leaflet_mount\": \"stentless\"}",
     "/alternatives/0/surgical_valve/leaflet_mount", "found post_azimuth_deg on a stentless valve"},
    {"\"implant\": {\"nominal_diameter_mm\": 22.5}", "\"surgical_valve\": 7", "/alternatives/0/surgical_valve",
     "found 7, expected an object"},
    {"\"implant\": {\"nominal_diameter_mm\": 22.5}, ", "", "/alternatives/0",
     "found nothing that this alternative does, expected at least one of implant, surgical_valve, lacerate, rescue"},
    {"\"burden\": 0.02", "\"burden\": -0.02", "/alternatives/0/burden", "found -0.02, expected a number of 0 or more"},
    {"\"lacerate\": {\"left\": 0.93}", "\"lacerate\": {\"lft\": 0.93}", "/alternatives/2/lacerate/lft",
     "expected the name of a coronary of this case (left, right): did you mean \"left\"?"},
    {"\"lacerate\": {\"left\": 0.93}", "\"lacerate\": {\"left\": 1.93}", "/alternatives/2/lacerate/left",
     "found 1.93, expected a number from 0 to 1"},
    {"\"lacerate\": {\"left\": 0.93}", "\"lacerate\": \"left\"", "/alternatives/2/lacerate",
     "found \"left\", expected an object"},
    {"\"rescue\": {\"left\": 0.90}", "\"rescue\": {\"circumflex\": 0.90}", "/alternatives/1/rescue/circumflex",
     "expected the name of a coronary of this case (left, right)"},
};

/* The same fault when an override puts its whole section in. A fault of the case itself (a key missing there) lies in
 * no section. */
static void check_overrides(const char *changed, const char *text, const char *pointer)
{
    char *section = sm_string_copy(pointer), *end = section[0] ? strchr(section + 1, '/') : NULL;
    if (end) {
        *end = '\0';
        char *json = value_in(changed, section);
        assert_non_null(json);
        check_as_text(changed, text, NULL, &(sm_override){section, json}, 1);
        free(json);
    }
    free(section);
}

static void check_change(const char *text, const char *profile, const change *c, bool in_profile)
{
    char *changed = replaced(in_profile ? profile : text, c->from, c->to);
    outcome o = in_profile ? read_with(text, changed, NULL, 0) : read_with(changed, profile, NULL, 0);
    assert_int_equal(o.status, SM_REFUSED);
    sm_text place = {0};
    sm_text_addf(&place, "%s", in_profile ? "site.json:" : "case.json:");
    assert_contains(o.messages.s, place.s);
    sm_text_destroy(&place);
    sm_text_addf(&place, "%s%s%s", c->pointer[0] ? " " : "", c->pointer, c->pointer[0] ? ": " : "");
    const char *line = strstr(o.messages.s, c->words);
    assert_contains(o.messages.s, c->words);
    while (line > o.messages.s && line[-1] != '\n')
        line--;
    assert_contains(line, place.s);
    assert_true(!c->pointer[0] || strstr(line, place.s) < strstr(line, c->words));
    sm_text_destroy(&place);
    outcome_destroy(&o);
    if (!in_profile)
        check_overrides(changed, text, c->pointer);
    free(changed);
}

static void refuses_each_fault_of_a_case(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1");
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        check_change(text, NULL, &refused[i], false);
    free(text);
}

/* 2. Domains of plain numbers: refused just outside, accepted at the ends. */
typedef struct {
    const char *pointer;
    double low, high;
} domain;

static const domain domains[] = {
    {"/scan/blooming_mm", 0, 3},
    {"/scan/base_plane/radius_mm", 5, 25},
    {"/scan/base_plane/point_sd_mm", 0, 5},
    {"/scan/base_plane/cuff_wave_mm", 0, 5},
    {"/scan/base_plane/placements", 1, 20},
    {"/scan/centreline_sd_mm", 0, 5},
    {"/surgical_valve/inner_diameter_mm", 12, 35},
    {"/surgical_valve/ring_height_mm", 0, 14.999},
    {"/surgical_valve/ring_give_mm", 0, 5},
    {"/surgical_valve/eccentricity", 0, 0.4},
    {"/surgical_valve/leaflet_thickness_mm", 0, 5},
    {"/surgical_valve/mount_offset_mm", 0, 5},
    {"/surgical_valve/mid_fraction", 0, 1},
    {"/surgical_valve/leaflet_overhang_mm", 0, 15},
    {"/surgical_valve/post_azimuth_deg", -360, 360},
    {"/surgical_valve/post_block_deg", 0, 60},
    {"/implant/nominal_diameter_mm", 15, 40},
    {"/implant/frame_height_mm", 9, 70},
    {"/implant/skirt_height_mm", 0, 19},
    {"/implant/implant_depth_mm", -5, 16.999},
    {"/implant/overexpansion", -0.2, 0.3},
    {"/implant/flare", 0, 1},
    {"/implant/canting_sd_deg", 0, 20},
    {"/implant/offset_sd_mm", 0, 5},
    {"/coronaries/left/azimuth_deg", -360, 360},
    {"/coronaries/left/circle_mm", 10, 45},
    {"/coronaries/left/sinus_width_mm", 15, 60},
    {"/coronaries/left/ostium_height", 1, 20},
    {"/coronaries/left/stj_height", 7, 60},
    {"/coronaries/left/leaflet_height", 1, 60},
    {"/coronaries/left/ostium_gap", -5, 30},
    {"/coronaries/left/stj_gap", -5, 30},
    {"/limits/ostium_clearance_mm", 0, 10},
    {"/limits/stj_clearance_mm", 0, 10},
    {"/limits/reference_thickness_mm", 0, 3},
    {"/limits/reference_blooming_mm", 0, 2},
};

static sm_status status_at(const char *pointer, double x, const char *words)
{
    char number[SM_NUMBER_SIZE];
    outcome o = read_put(pointer, sm_number_write(x, number));
    if (o.status != SM_OK && words)
        assert_contains(o.messages.s, words);
    if (o.status != SM_OK && words)
        assert_contains(o.messages.s, pointer);
    if ((o.status != SM_OK) != (words != NULL))
        fprintf(stderr, "%s at %g: %s\n", pointer, x, o.messages.s);
    sm_status s = o.status;
    outcome_destroy(&o);
    return s;
}

static void binds_each_domain_at_both_ends(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof domains / sizeof *domains; i++) {
        const domain *d = &domains[i];
        bool crossed =
            d->high == 14.999 || d->high == 16.999; /* bound by the frame's top, 15 mm and 17 mm, not themselves */
        assert_int_equal(status_at(d->pointer, d->low, NULL), SM_OK);
        assert_int_equal(status_at(d->pointer, d->high, NULL), SM_OK);
        assert_int_equal(status_at(d->pointer, crossed ? d->high + 0.001 : d->high * 4 + 1, "found "), SM_REFUSED);
        assert_int_equal(status_at(d->pointer, d->low - 40.5, d->low < -300 ? "found -400.5" : "found "), SM_REFUSED);
    }
}

/* 3. Patients */

static void refuses_keys_that_identify_a_patient(void **state)
{
    (void)state;
    static const char *const keys[] = {
        "patient_name", "patientName",      "PatientID",  "name",       "Name",
        "DOB",          "date_of_birth",    "birth-date", "MRN",        "medical_record_number",
        "record_no",    "hospital_number",  "surname",    "NHS number", "ssn",
        "id",           "accession_number", "e-mail",     "initials"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        sm_text to = {0};
        sm_text_addf(&to, "\"%s\": \"x\", \"note\":", keys[i]);
        char *text = example("slimmargin-case-1"), *changed = replaced(text, "\"note\":", to.s);
        outcome o = read_text(changed);
        assert_int_equal(o.status, SM_REFUSED);
        assert_contains(o.messages.s, "looks like an identifier of a patient");
        outcome_destroy(&o);
        sm_text_destroy(&to);
        free(changed);
        free(text);
    }
}

static void warns_of_dates_and_long_numbers(void **state)
{
    (void)state;
    static const struct {
        const char *text, *seen;
    } texts[] = {{"born 3.4.1950", "a date"},
                 {"1950-04-03", "a date"},
                 {"3 April 1950", "a date"},
                 {"April 3, 1950", "a date"},
                 {"03/04/1950 at noon", "a date"},
                 {"19500403", "a date"},
                 {"scan 943 476 5919", "a long number"},
                 {"MRN12345678", "a long number"},
                 {"no 1234567", "a long number"},
                 {"reader study of 12 scans, 3 readers, 2 repeats", NULL},
                 {"heart team, 2026", NULL},
                 {"Eur Heart J 2018;39:687, doi 10.1093/eurheartj/ehx455", NULL},
                 {"PMID 29020413", NULL},
                 {"PMC9991077, table 1", NULL},
                 {"10.1186/s42492-022-00125-0", NULL},
                 {"mean 22.3 mm, 0.45 to 0.55", NULL},
                 {"12 of 30", NULL}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        sm_text json = {0};
        sm_text_addf(&json, "\"%s\"", texts[i].text);
        outcome o = read_put("/note", json.s);
        assert_int_equal(o.status, SM_OK);
        assert_int_equal(o.diag.n, texts[i].seen ? 1 : 0);
        if (texts[i].seen) {
            assert_contains(o.messages.s, "/note: warning: this text seems to contain ");
            assert_contains(o.messages.s, texts[i].seen);
        }
        outcome_destroy(&o);
        sm_text_destroy(&json);
    }
}

/* 4. Sizes */

static char *list_of(size_t n, const char *item, const char *open, const char *close)
{
    sm_text t = {0};
    sm_text_puts(&t, open);
    for (size_t i = 0; i < n; i++) {
        sm_text_puts(&t, i ? ", " : "");
        sm_text_addf(&t, item, (int)i);
    }
    sm_text_puts(&t, close);
    return sm_text_take(&t);
}

static void check_size(const char *pointer, size_t most, const char *item, const char *open, const char *close,
                       const char *words)
{
    for (size_t extra = 0; extra < 2; extra++) {
        char *json = list_of(most + extra, item, open, close);
        outcome o = read_put(pointer, json);
        assert_int_equal(o.status, extra ? SM_REFUSED : SM_OK);
        if (extra)
            assert_contains(o.messages.s, words);
        outcome_destroy(&o);
        free(json);
    }
}

#pragma GCC diagnostic ignored "-Wformat-nonliteral"
static void limits_how_many(void **state)
{
    (void)state;
    check_size("/coronaries/left/ostium_gap/readings_mm", 50, "\"r%d\": [5]", "{", "}",
               "found an object of more, expected an object of 1 to 50");
    check_size("/coronaries/left/ostium_gap/readings_mm/A", 50, "5", "[", "]",
               "found a list of more, expected a list of 1 to 50");
    for (size_t n = 32; n < 34; n++) {
        sm_text t = {0};
        for (size_t i = 0; i < n; i++)
            sm_text_addf(&t, "%s[%.17g, 0.9]", i ? ", " : "[", (double)i / (double)(n - 1));
        sm_text_puts(&t, "]");
        outcome o = read_put("/implant/shape", t.s);
        assert_int_equal(o.status, n == 32 ? SM_OK : SM_REFUSED);
        if (n == 33)
            assert_contains(o.messages.s, "found a list of another length, expected a list of 2 to 32 points");
        outcome_destroy(&o);
        sm_text_destroy(&t);
    }
}

/* What a key holds must not reach a terminal as it is, nor fill it. */
static void shows_strange_keys_safely(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_text_puts(&t, "{\"\\u001b[2J\": 1, \"");
    for (size_t i = 0; i < 5000; i++)
        sm_text_puts(&t, "\xC3\xA9");
    sm_text_puts(&t, "\": 2}");
    outcome o = read_text(t.s);
    assert_contains(o.messages.s, "/\\u001b[2J: found the unknown key \"\\u001b[2J\", expected a key of a case");
    assert_null(strchr(o.messages.s, '\x1b'));
    assert_true(o.messages.len < 3000);
    outcome_destroy(&o);
    sm_text_destroy(&t);
}

static void limits_coronaries_alternatives_and_texts(void **state)
{
    (void)state;
    check_size("/alternatives", 50, "{\"name\": \"a%d\", \"rescue\": {\"left\": 0.5}}", "[", "]",
               "found a list of more, expected a list of at most 50");
    check_size(
        "/coronaries", 100,
        "\"c%d\": {\"azimuth_deg\": 1, \"circle_mm\": 22, \"ostium_height\": 9, \"ostium_gap\": 5, \"stj_height\": 18, "
        "\"stj_gap\": 3, \"leaflet_height\": 14}",
        "{", "}", "found 101 coronaries, expected 1 to 100");
    outcome none = read_put("/coronaries", "{}");
    assert_contains(none.messages.s, "found 0 coronaries, expected 1 to 100");
    outcome_destroy(&none);
    for (size_t n = 400; n < 402; n++) {
        sm_text t = {0};
        sm_text_puts(&t, "\"");
        for (size_t i = 0; i < n; i++)
            sm_text_puts(&t, "\xC3\xA9"); /* two bytes, one character */
        sm_text_puts(&t, "\"");
        outcome o = read_put("/note", t.s);
        assert_int_equal(o.status, n == 400 ? SM_OK : SM_REFUSED);
        if (n == 401)
            assert_contains(o.messages.s, "/note: found a text of 401 characters, expected 1 to 400");
        outcome_destroy(&o);
        sm_text_destroy(&t);
    }
}

/* 5. All at once, in the order of the file */

static void reports_all_faults_in_one_run(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1");
    char *a = replaced(text, "\"kernel\": \"soft\"", "\"kernel\": \"loud\""), *b = replaced(a, "24.5", "\"x\"");
    char *c = replaced(b, "\"ostium_gap\": 7.2", "\"ostium_gap\": 99"), *d = replaced(c, "0.20", "2");
    outcome o = read_text(d);
    assert_int_equal(o.status, SM_REFUSED);
    assert_int_equal(o.diag.faults, 4);
    const char *order[] = {"case.json:7:49: /scan/kernel: ", "/implant/nominal_diameter_mm: ",
                           "/coronaries/right/ostium_gap: ", "/action_line: "};
    const char *at = o.messages.s;
    for (size_t i = 0; i < 4; i++) {
        assert_contains(at, order[i]);
        at = strstr(at, order[i]);
    }
    outcome_destroy(&o);
    free(text);
    free(a);
    free(b);
    free(c);
    free(d);
}

/* 6. The profile */
static const change refused_profiles[] = {
    {"slimmargin-profile-1", "slimmargin-case-1", "/format", "expected \"slimmargin-profile-1\""},
    {"\"site\": \"north\", ", "", "", "the key \"site\" is missing, expected in a site profile"},
    {"\"limits\": {}", "\"limitz\": {}", "/limitz", "expected a key of a site profile: did you mean \"limits\"?"},
    {"\"site\": \"north\"", "\"site\": \"north\", \"patient\": 1", "/patient", "looks like an identifier of a patient"},
    {"\"limits\": {}", "\"limits\": {\"basis\": \"tube\"}", "/limits/basis",
     "found \"tube\", expected {\"value\": ..., \"source\": ...}"},
    {"\"limits\": {}", "\"limits\": {\"basis\": {\"source\": \"x\"}}", "/limits/basis",
     "found an object without the key \"value\""},
    {"\"limits\": {}", "\"limits\": {\"basis\": {\"value\": \"x\"}}", "/limits/basis/value",
     "expected \"tube\" or \"drawn_circle\""},
    {"\"limits\": {}", "\"limits\": {\"basis\": {\"value\": \"tube\", \"sourse\": \"x\"}}", "/limits/basis/sourse",
     "did you mean \"source\"?"},
    {"\"limits\": {}", "\"limits\": {\"stj_clearance_mm\": {\"value\": 11}}", "/limits/stj_clearance_mm/value",
     "found 11, expected a number from 0 to 10"},
    {"\"limits\": {}", "\"limits\": {\"stj_clearance_mm\": {\"value\": 1e999}}", "/limits/stj_clearance_mm/value",
     "found 1e999, which is too large"},
    {"\"implant\": {}", "\"implant\": {\"expansion\": {\"value\": \"self\"}}", "/implant/expansion",
     "expected only keys that a case may leave open"},
    {"\"implant\": {}", "\"implant\": []", "/implant", "found a list, expected an object"},
    {"\"surgical_valve\": {}",
     "\"surgical_valve\": {\"leaflet_thickness_mm\": {\"value\": {\"readings_mm\": {\"A\": [1]}}}}",
     "/surgical_valve/leaflet_thickness_mm/value", "readings belong to a case"},
    {"\"surgical_valve\": {}",
     "\"surgical_valve\": {\"eccentricity\": {\"value\": {\"normal\": {\"mean\": 0.1, \"sd\": 0.01}}}}",
     "/surgical_valve/eccentricity/value", "can go below 0"},
    {"\"ostium_gap\": {", "\"ostium_gab\": {", "/readers/ostium_gab", "did you mean \"ostium_gap\"?"},
    {"\"dof\": 21", "\"dof\": 2", "/readers/ostium_gap/dof", "found 2, expected a number of 3 or more"},
    {"\"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3, ", "", "/readers/ostium_gap/dof",
     "found dof without an SD beside it"},
    {"\"between_reader_sd_mm\": 0.5, \"repeat_sd_mm\": 0.3, \"dof\": 21", "\"sd_includes_plane\": true",
     "/readers/ostium_gap/sd_includes_plane", "without an SD beside it"},
    {"\"dof\": 21", "\"doff\": 21", "/readers/ostium_gap/doff", "did you mean \"dof\"?"},
    {"\"dof\": 21", "\"cross_check\": {\"reader_sd_mm\": 1}", "/readers/ostium_gap/cross_check",
     "the key \"modality\" is missing"},
    {"\"ostium_gap\": {", "\"stj_height\": {\"cross_check\": {\"modality\": \"echo\"}}, \"ostium_gap\": {",
     "/readers/stj_height/cross_check", "expected only on ostium_gap and stj_gap"},
    {"\"ostium_gap\": {",
     "\"leaflet_height\": {\"cross_check\": {\"modality\": \"echo\", \"reader_sd_mm\": 1}}, \"ostium_gap\": {",
     "/readers/leaflet_height/cross_check",
     "found a cross_check on leaflet_height, expected only on ostium_gap and stj_gap"},
    {"\"dof\": 21", "\"dof\": 21, \"cross_check\": {\"modality\": \"bench\"}",
     "/readers/ostium_gap/cross_check/modality", "found \"bench\", expected \"fluoroscopy\" or \"echo\""},
    {"\"dof\": 21", "\"dof\": 21, \"cross_check\": {\"modality\": \"echo\", \"spoiled\": 0}",
     "/readers/ostium_gap/cross_check/spoiled", "found 0, expected a number from 0.01 to 0.2 (probability)"},
    {"\"surgical_valve\": {}",
     "\"surgical_valve\": {\"leaflet_thickness_mm\": {\"value\": {\"uniform\": {\"min\": 0.4, \"max\": 1}, "
     "\"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [0.9]}, \"reader_sd_mm\": 0.2}}}}",
     "/surgical_valve/leaflet_thickness_mm/value/cross_check", "second looks belong to a case"},
    {"\"ostium_gap\": {", "\"stj_gap\": 5, \"ostium_gap\": {", "/readers/stj_gap", "found 5, expected an object"},
    {"\"ostium_gap\": {", "\"inner_diameter\": {}, \"inner_diameter_mm\": {}, \"ostium_gap\": {",
     "/readers/inner_diameter_mm", "found \"inner_diameter_mm\" beside \"inner_diameter\", expected one of them"},
    {"\"source\": \"reader study of 12 scans\",", "", "/readers/ostium_gap", "the key \"source\" is missing"},
    {"{\"value\": 0.15, ", "{\"value\": 1.15, ", "/action_line/value",
     "found 1.15, expected a number above 0 and below 1"},
    {"\"centreline_sd_mm\": {", "\"base_plane\": {\"tilt_sd_deg\": {\"value\": 3}}, \"centreline_sd_mm\": {",
     "/scan/base_plane", "the key \"level_sd_mm\" is missing"},
    {"\"centreline_sd_mm\": {",
     "\"base_plane\": {\"value\": {\"tilt_sd_deg\": 3, \"level_sd_mm\": 1, \"placements\": 2}}, \"centreline_sd_mm\": "
     "{",
     "/scan/base_plane/value/tilt_sd_deg", "together with placements"},
    {"{\"format\"", "{\"coronaries\": {}, \"format\"", "/coronaries",
     "found the key \"coronaries\" in a site profile, expected it in a case"},
};

static void refuses_each_fault_of_a_profile(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused_profiles / sizeof *refused_profiles; i++)
        check_change(smallest, small_profile, &refused_profiles[i], true);
    outcome o = read_with(smallest, "[1]", NULL, 0);
    assert_contains(o.messages.s, "site.json:1:1: found a list, expected an object");
    outcome_destroy(&o);
    o = read_with("{\"a\": ", "[1", NULL, 0);
    assert_contains(o.messages.s, "case.json:1:7: found the end of the file");
    assert_contains(o.messages.s, "site.json:1:3: found the end of the file");
    outcome_destroy(&o);
}

/* 7. No case at all */

static void refuses_what_is_no_case(void **state)
{
    (void)state;
    outcome o = read_text("[1, 2]");
    assert_contains(o.messages.s, "case.json:1:1: found a list, expected an object { }");
    outcome_destroy(&o);
    o = read_text("{}");
    assert_int_equal(o.diag.faults, 5);
    assert_contains(o.messages.s, "the key \"coronaries\" is missing, expected in a case");
    outcome_destroy(&o);
    sm_diag d = {0};
    sm_casefile *f;
    assert_int_equal(sm_casefile_read((sm_file_text){"none.json", NULL, 0}, (sm_file_text){0}, NULL, 0, &d, &f),
                     SM_REFUSED);
    assert_contains(d.item[0].words, "found an empty file");
    sm_diag_destroy(&d);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refuses_each_fault_of_a_case),
        cmocka_unit_test(binds_each_domain_at_both_ends),
        cmocka_unit_test(refuses_keys_that_identify_a_patient),
        cmocka_unit_test(warns_of_dates_and_long_numbers),
        cmocka_unit_test(limits_how_many),
        cmocka_unit_test(shows_strange_keys_safely),
        cmocka_unit_test(limits_coronaries_alternatives_and_texts),
        cmocka_unit_test(reports_all_faults_in_one_run),
        cmocka_unit_test(refuses_each_fault_of_a_profile),
        cmocka_unit_test(refuses_what_is_no_case),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
