/* read_unusual.c - what is usual is in typical.c; here each number is held against it.
 *
 * Contents: 1. what is found  2. one number  3. two numbers of one side  4. leaflets, ring and new valve
 *           5. two sides  6. what the case confirms  7. all of it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/read_unusual.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/typical.h"
#include "casefile/value.h"

typedef struct {
    sm_reader *r;
    const sm_case *c;
    const sm_surgical_valve *valve; /* those of the case, or of the alternative */
    const sm_implant *implant;
    unsigned facts;
    const cJSON *confirmed; /* NULL: none */
    sm_unusuals *out;
    const sm_alternative *alternative; /* that is looked at; NULL: the case as planned */
    size_t index;                      /* its place */
    const cJSON *node;
} finder;

/* A number of the case: of a coronary (side) or of the valve and the implant (section); of an alternative if that
 * patches it. */
typedef struct {
    const char *side, *section, *key;
    const char *alternative; /* its name; NULL: of the case */
} sm_number_place;

static sm_number_place of_side(const sm_coronary *o, const char *key)
{
    return (sm_number_place){.side = o->name, .section = "coronaries", .key = key};
}

/* 1. What is found */

static void name_write(sm_text *out, sm_number_place p)
{
    if (p.side || p.alternative)
        sm_text_addf(out, "%s.", p.side ? p.side : p.alternative);
    sm_text_puts(out, p.key);
}

static void pointer_write(sm_text *out, const finder *f, sm_number_place p)
{
    if (p.alternative)
        sm_text_addf(out, "/alternatives/%zu", f->index);
    sm_text_addf(out, p.side ? "/%s/%s/%s" : "/%s%s/%s", p.section, p.side ? p.side : "", p.key);
}

/* The same number, in the alternative if that patches it. */
static sm_number_place in_force(const finder *f, sm_number_place p)
{
    if (f->alternative && p.key && !p.side && sm_reader_member(sm_reader_member(f->node, p.section), p.key))
        p.alternative = f->alternative->name;
    return p;
}

static bool is_confirmed(const cJSON *names, const char *name)
{
    for (const cJSON *n = names ? names->child : NULL; n; n = n->next)
        if (cJSON_IsString(n) && strcmp(n->valuestring, name) == 0)
            return true;
    return false;
}

/* A number is asked about once: the first rule that finds it, alone or with another, speaks; the later ones follow. To
 * an alternative what the case itself confirms says nothing. */
static bool is_found(const finder *f, sm_number_place p, const char *name)
{
    const sm_unusuals *u = f->out;
    for (size_t i = 0; i < u->n; i++)
        if ((strcmp(u->item[i].name, name) == 0 || strcmp(u->item[i].other, name) == 0) &&
            !(f->alternative && !p.alternative && u->item[i].confirmed))
            return true;
    return false;
}

/* "left, ", "alternative "smaller device", " */
static void whose_write(sm_text *out, sm_number_place p)
{
    if (p.side)
        sm_text_addf(out, "%s, ", p.side);
    if (p.alternative)
        sm_text_addf(out, "alternative \"%s\", ", p.alternative);
}

/* The texts of what is found, and whether it is to be asked about. */
typedef struct {
    sm_text at, name, other, words;
} found_texts;

static bool write_texts(const finder *f, sm_number_place p, sm_number_place other, const char *what, found_texts *t)
{
    pointer_write(&t->at, f, p);
    name_write(&t->name, p);
    sm_text_puts(&t->other, "");
    if (other.key)
        name_write(&t->other, other);
    whose_write(&t->words, p);
    sm_text_puts(&t->words, what);
    return !(t->at.failed || t->name.failed || t->other.failed || t->words.failed);
}

static void add_found(finder *f, sm_number_place other, sm_unusual found, found_texts *t)
{
    /* Of an alternative its own number must be confirmed: that of the case stands beside all others too. */
    const bool shared = f->alternative && !other.alternative;
    found.confirmed =
        is_confirmed(f->confirmed, t->name.s) || (!shared && t->other.len && is_confirmed(f->confirmed, t->other.s));
    if (shared) {
        sm_text_destroy(&t->other);
        sm_text_puts(&t->other, "");
    }
    found.at = sm_text_take(&t->at);
    found.name = sm_text_take(&t->name);
    found.what = sm_text_take(&t->words);
    found.other = sm_text_take(&t->other);
    sm_unusuals_add(f->out, found);
}

/* A value outside what is usual at p; `other` (its key may be NULL) took part in it: to confirm either will do. Of an
 * alternative only what it patches is asked about. */
static void ask_about(finder *f, sm_number_place p, sm_number_place other, const char *what, sm_unusual found)
{
    found_texts t = {0};
    p = in_force(f, p);
    other = in_force(f, other);
    if (f->alternative && !p.alternative) {
        const sm_number_place of_case = p;
        p = other;
        other = of_case;
    }
    if (f->alternative && !p.alternative)
        return;
    if (!write_texts(f, p, other, what, &t))
        f->out->failed = true;
    else if (!is_found(f, p, t.name.s) && !(t.other.len && is_found(f, other, t.other.s)))
        add_found(f, other, found, &t);
    sm_text_destroy(&t.at);
    sm_text_destroy(&t.name);
    sm_text_destroy(&t.other);
    sm_text_destroy(&t.words);
}

/* Whether this number is asked about already: it says nothing of others then. */
static bool is_asked(finder *f, sm_number_place p)
{
    sm_text name = {0};
    p = in_force(f, p);
    name_write(&name, p);
    const bool asked = !name.failed && is_found(f, p, name.s);
    f->out->failed |= name.failed;
    sm_text_destroy(&name);
    return asked;
}

static bool lies_outside(double x, double low, double high)
{
    const double rounding = 1e-9; /* 2.5 from 22.5 less 20 is not below 2.5 */
    return x < low - rounding || x > high + rounding;
}

/* 2. One number */

/* What would make x usual: the first slip that does. */
static const char *slip_of(double x, const sm_typical *t)
{
    if (x < t->low && !lies_outside(10 * x, t->low, t->high))
        return "in centimetres?";
    if (x > t->high && !lies_outside(x - 10, t->low, t->high))
        return "a digit too many?";
    if (x > t->high && !lies_outside(x / 10, t->low, t->high))
        return "a decimal point left out?";
    return "typed for another quantity?";
}

/* The reading furthest from the middle of what is usual: one reader's slip would hide in a mean. */
static double furthest(const sm_quantity *q, const sm_typical *t)
{
    const double middle = (t->low + t->high) / 2;
    double far = q->is_read && q->readings.n > 0 ? middle : sm_quantity_estimate(q);
    for (size_t i = 0; q->is_read && i < q->readings.n; i++)
        for (size_t j = 0; j < q->readings.row[i].n; j++)
            if (fabs(q->readings.row[i].mm[j] - middle) >= fabs(far - middle))
                far = q->readings.row[i].mm[j];
    return far;
}

static void look_at(finder *f, sm_number_place p, const sm_typical *t, double x)
{
    if (t && lies_outside(x, t->low, t->high))
        ask_about(f, p, (sm_number_place){0}, t->what,
                  (sm_unusual){.value = x, .low = t->low, .high = t->high, .unit = t->unit, .slip = slip_of(x, t)});
}

static void look_at_number(finder *f, const char *section, const char *key, double x)
{
    look_at(f, (sm_number_place){.section = section, .key = key}, sm_typical_find(key, NULL, f->facts), x);
}

static void look_at_quantity(finder *f, sm_number_place p, const sm_quantity *q)
{
    const sm_typical *t = sm_typical_find(p.key, p.side, f->facts);
    if (t)
        look_at(f, p, t, furthest(q, t));
}

/* 3. Two numbers of one side */

static void look_at_both(finder *f, sm_number_place p, sm_number_place other, sm_joint_id id, double x)
{
    const sm_joint *j = sm_joint_line(id);
    if (lies_outside(x, j->low, j->high))
        ask_about(
            f, p, other, j->what,
            (sm_unusual){
                .value = x, .low = j->low, .high = j->high, .unit = j->unit, .slip = x < j->low ? j->below : j->above});
}

static double read_of(const sm_coronary *o, sm_quantity_id q)
{
    return sm_quantity_estimate(&o->quantity[q]);
}

/* Whether x was typed to a tenth of a millimetre. */
static bool is_tenths(double x)
{
    return fabs(10 * x - round(10 * x)) < 1e-6;
}

static bool is_side_in_tenths(const sm_coronary *o, sm_quantity_id but)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        if (q != (int)but && !is_tenths(read_of(o, (sm_quantity_id)q)))
            return false;
    return true;
}

/* 0.46 among readings of 9.1 and 14.8: a gap may well be small, but nobody reads this one alone to a hundredth. */
static void look_at_digits(finder *f, const sm_coronary *o, sm_quantity_id gap)
{
    const double x = read_of(o, gap);
    const sm_typical *t = sm_typical_find(sm_quantity_name(gap), o->name, f->facts);
    if (t && o->quantity[gap].is_read && x > 0 && x < t->high / 10 && !is_tenths(x) && is_side_in_tenths(o, gap))
        ask_about(f, of_side(o, t->key), (sm_number_place){0}, t->what,
                  (sm_unusual){.value = x,
                               .low = t->low,
                               .high = t->high,
                               .unit = t->unit,
                               .slip = "to a hundredth, alone of its side: in centimetres?"});
}

static double log_density(double x, sm_typical_spread_id id)
{
    const sm_typical_spread *s = sm_typical_spread_line(id);
    return -0.5 * pow((x - s->mean) / s->sd, 2.0) - log(s->sd);
}

/* How well an ostium height and gap fit this side, its STJ gap and the gaps of the other sides. */
static double log_likelihood(finder *f, const sm_coronary *o, double height, double gap)
{
    double sum = log_density(height, strcmp(o->name, "left") == 0 ? SM_SPREAD_LEFT_HEIGHT : SM_SPREAD_HEIGHT) +
                 log_density(gap, SM_SPREAD_GAP);
    if (!is_asked(f, of_side(o, "stj_gap")))
        sum += log_density(read_of(o, SM_STJ_GAP) - gap / 2, SM_SPREAD_STJ_GAP);
    for (size_t k = 0; k < f->c->n_coronaries; k++)
        if (&f->c->coronary[k] != o && f->c->coronary[k].has_ostium &&
            !is_asked(f, of_side(&f->c->coronary[k], "ostium_gap")))
            sum += log_density(gap - read_of(&f->c->coronary[k], SM_OSTIUM_GAP), SM_SPREAD_GAPS);
    return sum;
}

/* Of a sinus from which no coronary leaves the junction alone is there to be looked at. */
static void look_at_junction(finder *f, const sm_coronary *o)
{
    look_at_both(f, of_side(o, "stj_height"), of_side(o, "stj_gap"), SM_JOINT_STJ_LESS_GAP,
                 read_of(o, SM_STJ_HEIGHT) - read_of(o, SM_STJ_GAP));
}

static void look_at_coronary(finder *f, const sm_coronary *o)
{
    if (!o->has_ostium) {
        look_at_junction(f, o);
        return;
    }
    const double height = read_of(o, SM_OSTIUM_HEIGHT), gap = read_of(o, SM_OSTIUM_GAP);
    const double stj = read_of(o, SM_STJ_HEIGHT), stj_gap = read_of(o, SM_STJ_GAP);
    const sm_number_place at_height = of_side(o, "ostium_height"), at_gap = of_side(o, "ostium_gap"),
                          at_stj = of_side(o, "stj_height"), at_stj_gap = of_side(o, "stj_gap");
    look_at_both(f, at_height, at_gap, SM_JOINT_EXCHANGED,
                 exp(log_likelihood(f, o, gap, height) - log_likelihood(f, o, height, gap)));
    look_at_junction(f, o);
    look_at_both(f, at_stj, at_height, SM_JOINT_STJ_ABOVE_OSTIUM, stj - height);
    look_at_both(f, at_gap, of_side(o, "circle_mm"), SM_JOINT_HALF_WIDTH, gap + o->circle_mm / 2);
    look_at_both(f, at_gap, at_stj_gap, SM_JOINT_GAPS, stj_gap - gap);
    if (o->sinus_width_mm > 0)
        look_at_both(f, at_gap, of_side(o, "sinus_width_mm"), SM_JOINT_SINUS,
                     gap + (o->circle_mm - o->sinus_width_mm) / 2);
}

static void look_at_readings(finder *f, const sm_coronary *o)
{
    look_at(f, of_side(o, "circle_mm"), sm_typical_find("circle_mm", o->name, f->facts), o->circle_mm);
    if (o->sinus_width_mm > 0)
        look_at(f, of_side(o, "sinus_width_mm"), sm_typical_find("sinus_width_mm", o->name, f->facts),
                o->sinus_width_mm);
    for (int q = 0; q < SM_QUANTITIES; q++)
        if (!sm_coronary_lacks(o, (sm_quantity_id)q))
            look_at_quantity(f, of_side(o, sm_quantity_name((sm_quantity_id)q)), &o->quantity[q]);
    if (o->has_ostium)
        look_at_digits(f, o, SM_OSTIUM_GAP);
    look_at_digits(f, o, SM_STJ_GAP);
}

/* 4. Leaflets, ring and new valve */

static const sm_number_place at_inner = {.section = "surgical_valve", .key = "inner_diameter_mm"},
                             at_nominal = {.section = "implant", .key = "nominal_diameter_mm"},
                             at_frame = {.section = "implant", .key = "frame_height_mm"},
                             at_skirt = {.section = "implant", .key = "skirt_height_mm"},
                             at_depth = {.section = "implant", .key = "implant_depth_mm"},
                             at_ring = {.section = "surgical_valve", .key = "ring_height_mm"};

static void look_at_leaflet(finder *f, const sm_coronary *o)
{
    const sm_implant *i = f->implant;
    const sm_number_place at = of_side(o, "leaflet_height");
    const double top = read_of(o, SM_LEAFLET_HEIGHT), depth = sm_dist_mean(&i->implant_depth_mm);
    look_at_both(f, at, at_ring, SM_JOINT_LEAFLET_ABOVE_RING, top - f->valve->ring_height_mm);
    if (is_asked(f, at_depth))
        return;
    look_at_both(f, at, at_skirt, SM_JOINT_LEAFLET_ABOVE_SKIRT, top - (i->skirt_height_mm - depth));
    look_at_both(f, at, at_frame, SM_JOINT_LEAFLET_ABOVE_FRAME, top - (i->frame_height_mm - depth));
}

/* Density, 1/mm, of a circle that was drawn in some other way: what is far from both says no more than that. */
#define DRAWN_OTHERWISE 1e-6

/* How likely new valve and drawn circles are beside a true inner diameter, as readers draw either the waist or the
 * nominal diameter; circles of several sides count as one. */
static double log_fit(const finder *f, double inner)
{
    const double nominal = f->c->implant.nominal_diameter_mm, n = (double)f->c->n_coronaries;
    double sum = log_density(inner, SM_SPREAD_INNER) - log(inner) +
                 log_density(100 * (nominal / inner - 1), SM_SPREAD_OVERSIZING);
    for (size_t k = 0; k < f->c->n_coronaries; k++) {
        const double circle = f->c->coronary[k].circle_mm;
        sum += log(exp(log_density(circle - nominal, SM_SPREAD_CIRCLE_NOMINAL)) +
                   exp(log_density(circle - inner, SM_SPREAD_CIRCLE_INNER)) + DRAWN_OTHERWISE) /
               n;
    }
    return sum;
}

/* By how much the inner diameter fits better if it is a label, larger than the true one by what labels are. */
static double label_ratio(const finder *f, double typed)
{
    enum { STEPS = 9 };
    const sm_typical_spread *label = sm_typical_spread_line(SM_SPREAD_LABEL);
    const double as_typed = log_fit(f, typed);
    double sum = 0, weights = 0;
    for (int i = -STEPS; i <= STEPS; i++) {
        const double z = 3.0 * i / STEPS, weight = exp(-z * z / 2);
        sum += weight * exp(log_fit(f, typed - label->mean - label->sd * z) - as_typed);
        weights += weight;
    }
    return sum / weights;
}

static void look_at_label(finder *f)
{
    const double inner = sm_quantity_estimate(&f->c->valve.inner_diameter);
    if (is_asked(f, at_inner) || is_asked(f, at_nominal))
        return;
    for (size_t k = 0; k < f->c->n_coronaries; k++) {
        const sm_joint *alike = sm_joint_line(SM_JOINT_CIRCLES);
        const sm_coronary *o = &f->c->coronary[k];
        if (is_asked(f, of_side(o, "circle_mm")) ||
            lies_outside(o->circle_mm - f->c->coronary[0].circle_mm, alike->low, alike->high))
            return; /* the circle is in question, and not the ring */
    }
    look_at_both(f, at_inner, of_side(&f->c->coronary[0], "circle_mm"), SM_JOINT_LABEL, label_ratio(f, inner));
}

/* Readers draw the waist that the ring leaves, or the nominal diameter. What is neither is told of the nearer. */
static void look_at_circle(finder *f, const sm_coronary *o)
{
    const double inner = sm_quantity_estimate(&f->c->valve.inner_diameter);
    const double nominal = f->c->implant.nominal_diameter_mm;
    const sm_number_place at = of_side(o, "circle_mm");
    const sm_joint *waist = sm_joint_line(SM_JOINT_CIRCLE_LESS_WAIST);
    const sm_joint *whole = sm_joint_line(SM_JOINT_CIRCLE_LESS_NOMINAL);
    const double by_waist = o->circle_mm - fmin(inner, nominal), by_nominal = o->circle_mm - nominal;
    if (is_asked(f, at_inner) || is_asked(f, at_nominal))
        return;
    const bool below_both = lies_outside(by_waist, waist->low, INFINITY);
    if (!below_both &&
        !(lies_outside(by_waist, waist->low, waist->high) && lies_outside(by_nominal, whole->low, whole->high)))
        return;
    if (below_both || fabs(by_waist) <= fabs(by_nominal))
        look_at_both(f, at, at_inner, SM_JOINT_CIRCLE_LESS_WAIST, by_waist);
    else
        look_at_both(f, at, at_nominal, SM_JOINT_CIRCLE_LESS_NOMINAL, by_nominal);
}

static void look_at_valves(finder *f)
{
    const sm_surgical_valve *v = f->valve;
    const sm_implant *i = f->implant;
    look_at_quantity(f, at_inner, &v->inner_diameter);
    look_at_quantity(f, (sm_number_place){.section = "surgical_valve", .key = "leaflet_thickness_mm"},
                     &v->leaflet_thickness);
    look_at_number(f, "surgical_valve", "ring_height_mm", v->ring_height_mm);
    look_at_number(f, "implant", "nominal_diameter_mm", i->nominal_diameter_mm);
    look_at_number(f, "implant", "frame_height_mm", i->frame_height_mm);
    look_at_number(f, "implant", "skirt_height_mm", i->skirt_height_mm);
    look_at_number(f, "implant", "implant_depth_mm", sm_dist_mean(&i->implant_depth_mm));
    look_at_both(f, at_inner, at_nominal, SM_JOINT_OVERSIZING,
                 100 * (i->nominal_diameter_mm / sm_quantity_estimate(&v->inner_diameter) - 1));
}

/* 5. Two sides */

static double angle_between(double a, double b)
{
    const double turn = fabs(remainder(a - b, 360.0));
    return turn;
}

static void look_at_sides(finder *f, const sm_coronary *a, const sm_coronary *b)
{
    static const struct {
        sm_quantity_id quantity;
        sm_joint_id id;
    } likes[] = {
        {SM_LEAFLET_HEIGHT, SM_JOINT_LEAFLETS}, {SM_STJ_HEIGHT, SM_JOINT_STJS}, {SM_OSTIUM_GAP, SM_JOINT_OSTIUM_GAPS}};
    look_at_both(f, of_side(b, "circle_mm"), of_side(a, "circle_mm"), SM_JOINT_CIRCLES, b->circle_mm - a->circle_mm);
    look_at_both(f, of_side(b, "azimuth_deg"), of_side(a, "azimuth_deg"), SM_JOINT_AZIMUTHS,
                 angle_between(a->azimuth_deg, b->azimuth_deg));
    for (size_t i = 0; i < sizeof likes / sizeof *likes; i++) {
        const char *key = sm_quantity_name(likes[i].quantity);
        if (sm_coronary_lacks(a, likes[i].quantity) || sm_coronary_lacks(b, likes[i].quantity))
            continue;
        look_at_both(f, of_side(b, key), of_side(a, key), likes[i].id,
                     read_of(b, likes[i].quantity) - read_of(a, likes[i].quantity));
    }
}

static const sm_coronary *side_called(const sm_case *c, const char *name)
{
    for (size_t k = 0; k < c->n_coronaries; k++)
        if (strcmp(c->coronary[k].name, name) == 0)
            return &c->coronary[k];
    return NULL;
}

static void look_at_left_and_right(finder *f)
{
    const sm_coronary *left = side_called(f->c, "left"), *right = side_called(f->c, "right");
    if (left && right && left->has_ostium && right->has_ostium)
        look_at_both(f, of_side(right, "ostium_height"), of_side(left, "ostium_height"), SM_JOINT_RIGHT_LESS_LEFT,
                     read_of(right, SM_OSTIUM_HEIGHT) - read_of(left, SM_OSTIUM_HEIGHT));
}

/* 6. What the case confirms */

/* Those of the numbers that alternatives patch, as every_name. */
static size_t every_name_of_alternatives(const finder *f, sm_text *names)
{
    finder of = *f;
    size_t n = 0;
    of.node = sm_reader_member(f->r->case_doc.root, "alternatives");
    of.node = of.node ? of.node->child : NULL;
    for (size_t a = 0; of.node && a < f->c->n_alternatives; a++, of.node = of.node->next)
        for (size_t i = 0; i < sm_typical_count(); i++) {
            const char *key = sm_typical_line(i)->key;
            const bool again = i > 0 && strcmp(sm_typical_line(i - 1)->key, key) == 0;
            const bool of_valve = sm_keys_find(&sm_keys_valve, key) != NULL;
            of.alternative = &f->c->alternative[a];
            const sm_number_place p =
                in_force(&of, (sm_number_place){.section = of_valve ? "surgical_valve" : "implant", .key = key});
            if (again || !p.alternative)
                continue;
            if (names)
                name_write(&names[n], p);
            n++;
        }
    return n;
}

/* Calls with every name that may be confirmed; returns how many there are. names NULL: counts. */
static size_t every_name(const finder *f, sm_text *names)
{
    const sm_case *c = f->c;
    size_t n = 0;
    for (size_t i = 0; i < sm_typical_count(); i++) {
        const char *key = sm_typical_line(i)->key;
        const bool again = i > 0 && strcmp(sm_typical_line(i - 1)->key, key) == 0;
        const sm_key *of_coronary = sm_keys_find(&sm_keys_coronary, key);
        for (size_t k = 0; !again && k < (of_coronary ? c->n_coronaries : 1); k++) {
            if (of_coronary && (of_coronary->flags & SM_KEY_OF_OSTIUM) && !c->coronary[k].has_ostium)
                continue;
            if (names)
                name_write(&names[n], (sm_number_place){.side = of_coronary ? c->coronary[k].name : NULL, .key = key});
            n++;
        }
    }
    for (size_t k = 0; k < c->n_coronaries; k++, n++)
        if (names)
            name_write(&names[n], (sm_number_place){.side = c->coronary[k].name, .key = "azimuth_deg"});
    return n + every_name_of_alternatives(f, names ? names + n : NULL);
}

static void check_name(sm_reader *r, const cJSON *node, const char *const *known, size_t n)
{
    char found[SM_FOUND_SIZE];
    for (size_t i = 0; cJSON_IsString(node) && i < n; i++)
        if (strcmp(known[i], node->valuestring) == 0)
            return;
    const char *near = cJSON_IsString(node) ? sm_keys_nearest(node->valuestring, known, n) : NULL;
    sm_reader_fault(r, node, "found %s, expected the name of a number of this case, as \"%s\"%s%s%s",
                    sm_reader_found(r, node, found), n > 0 ? known[0] : "inner_diameter_mm",
                    near ? "; nearest: \"" : "", near ? near : "", near ? "\"" : "");
}

static void check_confirmed(finder *f, const cJSON *list)
{
    char found[SM_FOUND_SIZE];
    if (!cJSON_IsArray(list)) {
        sm_reader_fault(f->r, list, "found %s, expected a list of names, as [\"left.ostium_height\"]",
                        sm_reader_found(f->r, list, found));
        return;
    }
    const size_t n = every_name(f, NULL);
    sm_text *names = calloc(n, sizeof *names);
    const char **known = calloc(n, sizeof *known);
    bool whole = names && known;
    if (whole)
        every_name(f, names);
    for (size_t i = 0; whole && i < n; i++) {
        known[i] = names[i].s;
        whole &= !names[i].failed;
    }
    for (const cJSON *node = list->child; whole && node; node = node->next)
        check_name(f->r, node, known, n);
    f->r->no_memory |= !whole;
    for (size_t i = 0; names && i < n; i++)
        sm_text_destroy(&names[i]);
    free(names);
    free(known);
}

/* 7. All of it */

/* One number alone comes first: what it spoils elsewhere is not asked about twice. */
static void look_at_all(finder *f)
{
    const sm_case *c = f->c;
    for (size_t k = 0; k < c->n_coronaries; k++)
        look_at_readings(f, &c->coronary[k]);
    look_at_valves(f);
    look_at_label(f);
    for (size_t k = 0; k < c->n_coronaries; k++) {
        look_at_coronary(f, &c->coronary[k]);
        look_at_leaflet(f, &c->coronary[k]);
        look_at_circle(f, &c->coronary[k]);
    }
    for (size_t k = 1; k < c->n_coronaries; k++)
        look_at_sides(f, &c->coronary[k - 1], &c->coronary[k]);
    look_at_left_and_right(f);
}

/* What an alternative patches, alone and with the rest of it and of the case. The circle was drawn for the case as
 * planned. */
static void look_at_alternative(finder *f)
{
    f->valve = &f->alternative->valve;
    f->implant = &f->alternative->implant;
    f->facts &= ~(unsigned)(SM_FACT_BALLOON | SM_FACT_SELF);
    f->facts |= f->implant->expansion == SM_BALLOON ? SM_FACT_BALLOON : SM_FACT_SELF;
    look_at_valves(f);
    for (size_t k = 0; k < f->c->n_coronaries; k++)
        look_at_leaflet(f, &f->c->coronary[k]);
}

static void look_at_alternatives(finder *f)
{
    const cJSON *all = sm_reader_member(f->r->case_doc.root, "alternatives");
    f->node = all ? all->child : NULL;
    for (f->index = 0; f->node && f->index < f->c->n_alternatives; f->index++, f->node = f->node->next) {
        f->alternative = &f->c->alternative[f->index];
        look_at_alternative(f);
    }
}

void sm_read_unusual(sm_reader *r, const sm_case *c, sm_unusuals *out)
{
    finder f = {.r = r,
                .c = c,
                .valve = &c->valve,
                .implant = &c->implant,
                .facts = r->facts,
                .confirmed = sm_reader_member(r->case_doc.root, "confirmed"),
                .out = out};
    if (f.confirmed)
        check_confirmed(&f, f.confirmed);
    if (r->faults == 0 && !r->no_memory) {
        look_at_all(&f);
        look_at_alternatives(&f);
    }
    r->no_memory |= out->failed;
}
