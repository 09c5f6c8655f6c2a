/* sharp.c - the probabilities of a plan's roots from well-placed points.
 *
 * Contents: 1. the events of a root  2. one group of trials  3. the pilot that turns the axes  4. tasks
 *           5. a stage  6. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/sharp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_eigen.h>

#include "base/grow.h"
#include "base/sum.h"
#include "engine/job.h"

/* 1. The events of a root */

enum { OF_EACH = 1 + SM_GAPS }; /* any rule, then each, of the patient and of each side */

/* Of each root; the unrescued event comes last. Root[0] has those by published limits besides. */
static int common_events(const sm_sharp *s)
{
    if (s->alone)
        return 1;
    return OF_EACH * (1 + s->n_sides) + (s->rescues ? 1 : 0);
}

static int first_event(const sm_sharp *s, int root)
{
    return root * common_events(s) + (root > 0 && !s->alone ? SM_PUBLISHED_LIMITS : 0);
}

static sm_task_series series_at(const sm_sharp *s, int event)
{
    return (sm_task_series){
        .task = s->sums + event, .stride = (size_t)s->n_events, .n = s->n_tasks, .widened = s->widened};
}

sm_task_series sm_sharp_event(const sm_sharp *s, int root, int side)
{
    return series_at(s, first_event(s, root) + OF_EACH * (1 + side)); /* SM_SHARED is -1 */
}

sm_task_series sm_sharp_crossed(const sm_sharp *s, int root, int side, sm_gap_id gap)
{
    return series_at(s, first_event(s, root) + OF_EACH * (1 + side) + 1 + (int)gap);
}

sm_task_series sm_sharp_unrescued(const sm_sharp *s, int root)
{
    return s->rescues ? series_at(s, first_event(s, root) + common_events(s) - 1) : sm_sharp_event(s, root, SM_SHARED);
}

sm_task_series sm_sharp_by_limits(const sm_sharp *s, int limits)
{
    return series_at(s, common_events(s) + limits);
}

/* 2. One group of trials */

typedef struct {
    sm_placed drawn;
    sm_places at;
    sm_side_chances *kept;         /* by place of the smoothing */
    sm_side_chances mixed;         /* of a lacerated side */
    sm_task_sums *sums;            /* of the task at hand, by event */
    double first_weight[SM_LANES]; /* of root[0]'s trials */
    /* How probable it is that no side has it: an event, by limits, without a rescue. */
    double none[OF_EACH + SM_PUBLISHED_LIMITS + 1][SM_LANES];
} slot;

enum { UNRESCUED = OF_EACH + SM_PUBLISHED_LIMITS };

static void slot_clear(slot *s)
{
    for (int e = 0; e <= UNRESCUED; e++)
        for (int i = 0; i < SM_LANES; i++)
            s->none[e][i] = 1;
}

SM_WIDE static void take_none(const double *restrict p, double *restrict none)
{
    for (int i = 0; i < SM_LANES; i++)
        none[i] *= 1 - p[i];
}

/* (8.8): the side's event is undone with this probability. */
SM_WIDE static void take_unrescued(double rescue, const double *restrict p, double *restrict none)
{
    const double fails = 1 - rescue;
    for (int i = 0; i < SM_LANES; i++)
        none[i] *= 1 - fails * p[i];
}

/* A side's part in the patient's events, by (8.6). */
static void join_side(const sm_root *r, int k, const sm_side_chances *side, bool by_limits, const sm_sharp *of, slot *s)
{
    if (r->side[k].outputs.model.counts == 0)
        return;
    take_none(side->event, s->none[0]);
    if (of->alone)
        return;
    if (of->rescues)
        take_unrescued(r->side[k].rescue.column >= 0 ? r->side[k].rescue.probability : 0, side->event,
                       s->none[UNRESCUED]);
    for (int g = 0; g < SM_GAPS; g++)
        take_none(side->crossed[g], s->none[1 + g]);
    for (int l = 0; by_limits && l < SM_PUBLISHED_LIMITS; l++)
        take_none(side->by_limits[l], s->none[OF_EACH + l]);
}

static const sm_side_chances *chances_of(const sm_plan *p, const sm_smoothing *smoothing, int index, int k,
                                         bool by_limits, slot *s)
{
    const sm_smooth_draws draws = {s->drawn.level, s->drawn.score};
    return sm_smoothing_side(smoothing, p, index, k, s->drawn.column, &s->at, &draws, by_limits, s->kept, &s->mixed);
}

/* What is not a number is no crossing. */
SM_WIDE static void add_sums(const double *restrict w, const double *restrict p, sm_task_sums *sum)
{
    double in[SM_LANES], out[SM_LANES], ww[SM_LANES];
    for (int i = 0; i < SM_LANES; i++) {
        const double is = p[i] > 0 ? p[i] : 0;
        in[i] = w[i] * is;
        out[i] = w[i] * (1 - is);
        ww[i] = w[i] * w[i];
    }
    sum->points += SM_LANES;
    sum->w += sm_sum(w, SM_LANES);
    sum->ww += sm_sum(ww, SM_LANES);
    sum->in += sm_sum(in, SM_LANES);
    sum->out += sm_sum(out, SM_LANES);
}

static void add_side(const double *w, const sm_side_chances *side, sm_task_sums *sum)
{
    add_sums(w, side->event, &sum[0]);
    for (int g = 0; g < SM_GAPS; g++)
        add_sums(w, side->crossed[g], &sum[1 + g]);
}

static void add_none(const double *w, const double *none, sm_task_sums *sum)
{
    double either[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        either[i] = 1 - none[i];
    add_sums(w, either, sum);
}

/* sum: of the root's events. */
static void add_patient(const double *w, const sm_sharp *of, int index, const slot *s, sm_task_sums *sum)
{
    if (of->alone) {
        add_none(w, s->none[0], sum);
        return;
    }
    for (int e = 0; e < OF_EACH; e++)
        add_none(w, s->none[e], &sum[e]);
    if (of->rescues)
        add_none(w, s->none[UNRESCUED], &sum[common_events(of) - 1]);
    for (int l = 0; index == 0 && l < SM_PUBLISHED_LIMITS; l++)
        add_none(w, s->none[OF_EACH + l], &sum[common_events(of) + l]);
}

/* The weights of a root's trials: of its second looks, times what undoes a widened draw. */
static void weigh(const sm_plan *p, int index, slot *s, double *w)
{
    if (index > 0 && sm_parts_weigh_as_first(p->root, p->parts, index)) {
        memcpy(w, s->first_weight, sizeof s->first_weight);
        return;
    }
    sm_evaluate_weights(p, index, &s->at, w);
    for (int i = 0; i < SM_LANES; i++)
        w[i] *= s->drawn.weight[i];
    if (index == 0)
        memcpy(s->first_weight, w, sizeof s->first_weight);
}

/* What all sides share; of a steered root the looked sides too, on which the weights hang. */
static void evaluate_shared(const sm_plan *p, const sm_smoothing *smoothing, int n_sides, int index, slot *s)
{
    sm_evaluate_shared(p, index, s->drawn.column, &s->at);
    for (int k = 0; k < n_sides && p->root[index].steering.n > 0; k++)
        if (smoothing->whole[k])
            sm_evaluate_side(p, index, k, s->drawn.column, &s->at);
}

static void group_of_root(const sm_plan *p, const sm_smoothing *smoothing, const sm_sharp *of, int index, slot *s)
{
    double w[SM_LANES];
    const int n = of->n_sides;
    const bool by_limits = index == 0 && !of->alone;
    sm_task_sums *sum = s->sums + first_event(of, index);
    const sm_side_chances *last = NULL;
    slot_clear(s);
    evaluate_shared(p, smoothing, n, index, s);
    weigh(p, index, s, w);
    for (int k = 0; k < n; k++) {
        last = chances_of(p, smoothing, index, k, by_limits, s);
        join_side(&p->root[index], k, last, by_limits, of, s);
        if (!of->alone)
            add_side(w, last, sum + OF_EACH * (1 + k));
    }
    add_patient(w, of, index, s, sum);
}

static void clear_sums(const sm_sharp *of, sm_task_sums *sums)
{
    memset(sums, 0, (size_t)of->n_events * sizeof *sums);
}

static void run_group(const sm_plan *p, const sm_smoothing *smoothing, const sm_placing *placing, const sm_sharp *of,
                      slot *s)
{
    sm_placed_spread(placing, &s->drawn);
    for (int index = 0; index < of->n_roots; index++)
        group_of_root(p, smoothing, of, index, s);
}

static sm_status slot_create(const sm_plan *p, const sm_placing *placing, const sm_sharp *of, slot *s)
{
    s->kept = malloc((size_t)placing->smoothing->n_places * sizeof *s->kept);
    s->sums = calloc((size_t)of->n_events, sizeof *s->sums);
    sm_status status = s->kept && s->sums ? sm_places_create(p, &s->at) : SM_NO_MEMORY;
    return status == SM_OK ? sm_placed_create(placing, &s->drawn) : status;
}

static void slot_destroy(slot *s)
{
    sm_placed_destroy(&s->drawn);
    sm_places_destroy(&s->at);
    free(s->kept);
    free(s->sums);
}

/* 3. The pilot that turns the axes */

/* Its draws are the same for every seed of a run. A step of the size of the errors sees past the kinks of the model. */
enum { PILOT_SEED = 17, ROUNDED = 1 << 20 };
#define PILOT_STEP 0.25
#define PILOT_TURN 0.381966

/* Of a rare event it looks further out, and a trial counts by its probability to this power: most are far from any
 * event, and where it happens is what matters. Both found by trial on four rare cases. */
#define PILOT_WIDER   1.5
#define PILOT_CLOSELY 0.3

/* A group of trials, and what it found: how the answer changes along each axis, by axis and trial; how much each draw
 * matters, about its share of the variance. here: the answer, before anything is moved. */
typedef struct {
    const sm_plan *plan;
    const sm_smoothing *smoothing;
    int n_sides;
    bool rare;
    sm_placing placing;
    slot slot;
    double *gradient, *matters, here[SM_LANES];
    double *free; /* by side: there, how probable it is that it has no event */
} pilot;

/* How probable it is that side k has no event. */
static void free_of(pilot *t, int k, double *out)
{
    const sm_root *r = &t->plan->root[0];
    const sm_side_chances *side = chances_of(t->plan, t->smoothing, 0, k, false, &t->slot);
    for (int i = 0; i < SM_LANES; i++)
        out[i] = r->side[k].outputs.model.counts != 0 ? 1 - side->event[i] : 1;
}

/* What the pilot follows, of the draws as they are spread: the patient event's probability, or of a rare one its normal
 * score. moved: the one side whose draws have been moved, SM_SHARED if any may have been, or NOTHING. */
enum { NOTHING = SM_SHARED - 1 };

static void answer_of(pilot *t, int moved, double *out)
{
    double room[SM_LANES], none[SM_LANES];
    evaluate_shared(t->plan, t->smoothing, t->n_sides, 0, &t->slot);
    for (int i = 0; i < SM_LANES; i++)
        none[i] = 1;
    for (int k = 0; k < t->n_sides; k++) {
        const bool stands = moved != SM_SHARED && moved != k;
        if (!stands)
            free_of(t, k, room);
        const double *of_side = stands ? t->free + (size_t)k * SM_LANES : room;
        for (int i = 0; i < SM_LANES; i++)
            none[i] *= of_side[i];
    }
    for (int i = 0; i < SM_LANES; i++)
        out[i] = 1 - none[i];
    for (int i = 0; t->rare && i < SM_LANES; i++)
        out[i] = gsl_cdf_ugaussian_Pinv(fmin(fmax(out[i], 1e-300), 1 - 1e-16));
}

/* Before anything is moved. */
static void find_here(pilot *t)
{
    sm_placed_spread(&t->placing, &t->slot.drawn);
    evaluate_shared(t->plan, t->smoothing, t->n_sides, 0, &t->slot);
    for (int k = 0; k < t->n_sides; k++)
        free_of(t, k, t->free + (size_t)k * SM_LANES);
    answer_of(t, NOTHING, t->here);
}

/* By how much each trial counts. */
static void count_by(const pilot *t, double *counts)
{
    for (int i = 0; i < SM_LANES; i++)
        counts[i] = t->rare ? pow(gsl_cdf_ugaussian_P(-fabs(t->here[i])), PILOT_CLOSELY) : 1;
}

static void find_gradients(pilot *t)
{
    double there[SM_LANES], counts[SM_LANES];
    count_by(t, counts);
    for (int j = 0; j < t->placing.n_axes; j++) {
        double *z = t->slot.drawn.axis + (size_t)j * SM_LANES;
        for (int i = 0; i < SM_LANES; i++)
            z[i] += PILOT_STEP;
        sm_placed_spread_axis(&t->placing, &t->slot.drawn, j);
        answer_of(t, sm_placing_side(&t->placing, j), there);
        for (int i = 0; i < SM_LANES; i++) {
            const double change = counts[i] * (there[i] - t->here[i]) / PILOT_STEP;
            t->gradient[(size_t)j * SM_LANES + (size_t)i] = isfinite(change) ? change : 0;
            z[i] -= PILOT_STEP;
        }
        sm_placed_spread_axis(&t->placing, &t->slot.drawn, j);
    }
}

/* Of uniforms the mean square of what a turn of each by the golden section changes, and of that a part: gradients make
 * more of a normal than it explains. Which part was found by trial on six scenarios. */
#define TURN_MATTERS  0.15
#define LEVEL_MATTERS 0.5

static void find_turns(pilot *t)
{
    double there[SM_LANES], square[SM_LANES], kept[SM_LANES];
    for (int j = 0; j < t->placing.n_circular + t->placing.n_levels; j++) {
        double *u = sm_placed_uniforms(&t->placing, &t->slot.drawn, j);
        const double part = j < t->placing.n_circular ? TURN_MATTERS : LEVEL_MATTERS;
        memcpy(kept, u, sizeof kept);
        for (int i = 0; i < SM_LANES; i++)
            u[i] += u[i] < 1 - PILOT_TURN ? PILOT_TURN : PILOT_TURN - 1;
        answer_of(t, sm_placing_side(&t->placing, t->placing.n_axes + j), there);
        for (int i = 0; i < SM_LANES; i++)
            square[i] = (there[i] - t->here[i]) * (there[i] - t->here[i]);
        t->matters[t->placing.n_axes + j] = part * sm_sum(square, SM_LANES) / SM_LANES;
        memcpy(u, kept, sizeof kept);
    }
}

/* The mean of the gradient's products. */
static void products_of(const double *gradient, size_t n, gsl_matrix *out)
{
    double product[SM_LANES];
    for (size_t j = 0; j < n; j++)
        for (size_t l = 0; l <= j; l++) {
            for (size_t i = 0; i < SM_LANES; i++)
                product[i] = gradient[j * SM_LANES + i] * gradient[l * SM_LANES + i];
            const double mean = sm_sum(product, SM_LANES) / SM_LANES;
            gsl_matrix_set(out, j, l, mean);
            gsl_matrix_set(out, l, j, mean);
        }
}

/* The directions of the largest eigenvalues; those along which next to nothing changes are left out. Rounded, so that
 * the last bits of a processor's sine or exponential do not turn the axes. */
static int leading(const gsl_vector *value, const gsl_matrix *vector, double *direction)
{
    const size_t n = value->size;
    int m = 0;
    for (size_t i = 0; i < n && m < SM_LEADING && gsl_vector_get(value, i) > 1e-6 * gsl_vector_get(value, 0); i++, m++)
        for (size_t j = 0; j < n; j++)
            direction[i * n + j] = nearbyint(gsl_matrix_get(vector, j, i) * ROUNDED) / ROUNDED;
    return m;
}

/* How much an axis matters once turned: the mean square of the change along it. */
static void weigh_axes(const sm_placing *placing, const gsl_matrix *products, double *direction, double *matters)
{
    const int n = placing->n_axes;
    for (int a = 0; a < n; a++) {
        matters[a] = 0;
        sm_placing_direction(placing, a, direction);
        for (int j = 0; j < n; j++)
            for (int l = 0; l < n; l++)
                matters[a] += direction[j] * gsl_matrix_get(products, (size_t)j, (size_t)l) * direction[l];
    }
}

static sm_status turn_to_leading(const gsl_matrix *products, sm_placing *placing)
{
    const size_t n = products->size1;
    gsl_matrix *spoilt = gsl_matrix_alloc(n, n), *vector = gsl_matrix_alloc(n, n);
    gsl_vector *value = gsl_vector_alloc(n);
    gsl_eigen_symmv_workspace *w = gsl_eigen_symmv_alloc(n);
    double *direction = calloc(SM_LEADING * n, sizeof *direction);
    sm_status status = spoilt && vector && value && w && direction ? SM_OK : SM_NO_MEMORY;
    if (status == SM_OK) {
        gsl_matrix_memcpy(spoilt, products);
        gsl_eigen_symmv(spoilt, value, vector, w);
        gsl_eigen_symmv_sort(value, vector, GSL_EIGEN_SORT_VAL_DESC);
        status = sm_placing_turn(placing, direction, leading(value, vector, direction));
    }
    free(direction);
    gsl_eigen_symmv_free(w);
    gsl_vector_free(value);
    gsl_matrix_free(vector);
    gsl_matrix_free(spoilt);
    return status;
}

/* Turns and orders the draws by what the pilot found. */
static sm_status use_findings(const pilot *t, sm_placing *placing)
{
    const size_t n = (size_t)placing->n_axes;
    sm_status status = SM_OK;
    gsl_matrix *products = n > 0 ? gsl_matrix_alloc(n, n) : NULL;
    double *direction = calloc(n + 1, sizeof *direction);
    if (!direction || (n > 0 && !products))
        status = SM_NO_MEMORY;
    if (status == SM_OK && n > 0) {
        products_of(t->gradient, n, products);
        status = turn_to_leading(products, placing);
        weigh_axes(placing, products, direction, t->matters);
    }
    if (status == SM_OK)
        sm_placing_order(placing, t->matters);
    free(direction);
    gsl_matrix_free(products);
    return status;
}

static void run_pilot(pilot *t)
{
    sm_placed *drawn = &t->slot.drawn;
    sm_placed_begin(&t->placing, drawn, 0);
    sm_placed_draw(&t->placing, drawn, 0, 0, SM_LANES);
    for (int i = 0; t->rare && i < t->placing.n_axes * SM_LANES; i++)
        drawn->axis[i] *= PILOT_WIDER;
    find_here(t);
    find_gradients(t);
    find_turns(t);
}

static sm_status pilot_create(const sm_sharp *of, pilot *t)
{
    sm_status status = sm_placing_create(t->plan, t->smoothing, PILOT_SEED, SM_FOR_PILOT, &t->placing);
    t->gradient = calloc((size_t)(t->placing.n_axes + 1) * SM_LANES, sizeof *t->gradient);
    t->matters = calloc((size_t)t->placing.n_dimensions + 1, sizeof *t->matters);
    t->free = calloc((size_t)t->n_sides * SM_LANES, sizeof *t->free);
    if (status == SM_OK)
        status = t->gradient && t->matters && t->free ? slot_create(t->plan, &t->placing, of, &t->slot) : SM_NO_MEMORY;
    return status;
}

static void pilot_destroy(pilot *t)
{
    slot_destroy(&t->slot);
    sm_placing_destroy(&t->placing);
    free(t->gradient);
    free(t->matters);
    free(t->free);
}

/* Turns the axes of `placing` to where 256 trials see the answer change most. */
static sm_status turn(const sm_plan *p, const sm_smoothing *smoothing, const sm_sharp *of, bool rare,
                      sm_placing *placing)
{
    pilot *t = calloc(1, sizeof *t);
    if (!t)
        return SM_NO_MEMORY;
    t->plan = p;
    t->smoothing = smoothing;
    t->n_sides = of->n_sides;
    t->rare = rare;
    sm_status status = pilot_create(of, t);
    if (status == SM_OK) {
        run_pilot(t);
        status = use_findings(t, placing);
    }
    pilot_destroy(t);
    free(t);
    return status;
}

/* 4. Tasks */

typedef struct {
    const sm_plan *plan;
    const sm_smoothing *smoothing;
    const sm_placing *placing;
    sm_run_context context;
    sm_sharp_goal towards, goal; /* when to go on, once all that is asked for is drawn; now */
    const sm_placing *turned;    /* NULL: a pilot turns the axes */
    int asked_tasks;
    int64_t size; /* points a task, where they are given */
    bool sizing;  /* these points say how many are enough */
    sm_placing sized;
    sm_sharp *out;
    bool no_memory;
} sharp_job;

typedef struct {
    slot s;
    bool whole;
} task_slot;

static sm_status task_create(void *self, void *slot_)
{
    const sharp_job *job = self;
    return slot_create(job->plan, job->placing, job->out, &((task_slot *)slot_)->s);
}

static void task_destroy(void *self, void *slot_)
{
    (void)self;
    slot_destroy(&((task_slot *)slot_)->s);
}

static bool task_run(void *self, void *slot_, int64_t task)
{
    const sharp_job *job = self;
    task_slot *t = slot_;
    const uint32_t n = (uint32_t)job->out->points_a_task;
    t->whole = false;
    clear_sums(job->out, t->s.sums);
    sm_placed_begin(job->placing, &t->s.drawn, (uint32_t)task);
    for (uint32_t index = 0; index < n; index += SM_LANES) {
        if (sm_watch_interrupted(job->context.watch))
            return false;
        sm_placed_draw(job->placing, &t->s.drawn, (uint32_t)task, index, n);
        run_group(job->plan, job->smoothing, job->placing, job->out, &t->s);
    }
    t->whole = true;
    return true;
}

static bool is_resolved(const sm_sharp *s, double line)
{
    return sm_task_means_exclude(sm_sharp_event(s, 0, SM_SHARED), line, SM_SEQUENCE_EPSILON);
}

static bool task_merge(void *self, const void *slot_)
{
    sharp_job *job = self;
    sm_sharp *out = job->out;
    const task_slot *t = slot_;
    const size_t size = (size_t)out->n_events * sizeof *out->sums;
    if (!t->whole) /* interrupted */
        return false;
    void *more = sm_grow(out->sums, (size_t)out->n_tasks, &out->cap_tasks, (size_t)job->asked_tasks, size);
    job->no_memory = !more;
    if (!more)
        return true;
    out->sums = more;
    memcpy(out->sums + (size_t)out->n_tasks++ * (size_t)out->n_events, t->s.sums, size);
    return job->goal.line > 0 && out->n_tasks >= job->asked_tasks && is_resolved(out, job->goal.line);
}

/* 5. A stage */

static sm_status run_tasks(sharp_job *job, const sm_placing *placing)
{
    const int64_t most = job->goal.line > 0 ? job->goal.cap / job->out->points_a_task : 0;
    const sm_job tasks = {.self = job,
                          .tasks = most > job->asked_tasks ? most : job->asked_tasks,
                          .slot_size = sizeof(task_slot),
                          .create = task_create,
                          .run = task_run,
                          .merge = task_merge,
                          .destroy = task_destroy};
    job->placing = placing;
    const sm_status s = sm_job_run(&tasks, job->context);
    return job->no_memory ? SM_NO_MEMORY : s;
}

static sm_status place_and_run(sharp_job *job)
{
    const bool rare = job->out->widened;
    const sm_purpose purpose = job->sizing ? SM_FOR_PILOT : rare ? SM_FOR_REDRAW : SM_FOR_RUN;
    sm_placing placing = {0};
    sm_status s = sm_placing_create(job->plan, job->smoothing, job->plan->seed, purpose, &placing);
    placing.widened = rare;
    if (s == SM_OK && !(job->turned && sm_placing_take(&placing, job->turned)))
        s = turn(job->plan, job->smoothing, job->out, rare, &placing);
    if (s == SM_OK)
        s = run_tasks(job, &placing);
    if (!job->sizing) {
        sm_placing_destroy(&placing);
        return s;
    }
    sm_placing_destroy(&job->sized); /* its axes serve the points whose number it tells */
    job->sized = placing;
    job->turned = &job->sized;
    return s;
}

/* Runs all tasks anew, so many points each. rare: the first axes are drawn wider. If it is interrupted, what was known
 * before stands. */
static sm_status run_stage(sharp_job *job, int64_t points_a_task, bool rare)
{
    sm_sharp *out = job->out, before = *out;
    out->sums = NULL;
    out->n_tasks = 0;
    out->cap_tasks = 0;
    out->points_a_task = points_a_task;
    out->widened = rare;
    const sm_status s = place_and_run(job);
    if (s == SM_INTERRUPTED && before.n_tasks > 1) {
        free(out->sums);
        *out = before;
    } else
        free(before.sums);
    return s;
}

/* 6. The whole */

int64_t sm_sharp_points_a_task(int64_t trials)
{
    int64_t n = SM_LEAST_POINTS;
    while (2 * n * SM_LEAST_TASKS <= trials && n < SM_MOST_POINTS)
        n *= 2;
    return n;
}

int64_t sm_sharp_points(int64_t trials)
{
    const int64_t n = sm_sharp_points_a_task(trials), tasks = trials / n;
    return n * (tasks > SM_LEAST_TASKS ? tasks : SM_LEAST_TASKS);
}

/* Rare enough that few points decide: then the first axes are drawn wider, all tasks anew. Second looks steer the axes
 * themselves. */
#define WIDEN_BELOW 0.005

static sm_probability answer(const sm_sharp *s)
{
    return sm_task_means_probability(sm_sharp_event(s, 0, SM_SHARED));
}

static bool is_rare(const sm_plan *p, const sm_sharp *s)
{
    const double P = answer(s).probability;
    return !sm_plan_weighs(p) && (P < WIDEN_BELOW || P > 1 - WIDEN_BELOW);
}

static sm_status run_stages(sharp_job *job, int64_t points_a_task)
{
    sm_status s = run_stage(job, points_a_task, false);
    if (s == SM_OK && is_rare(job->plan, job->out))
        s = run_stage(job, points_a_task, true);
    return s;
}

/* The variance falls at least like this power of the number of points: with second looks like that of counting, else
 * faster (the slowest of twelve cases, from 4,096 to 32,768 points: 1.28). */
#define FALLS        1.25
#define FALLS_WEIGHS 1.0

/* By this many points a task the error is small enough. */
static int64_t enough_points(const sharp_job *job, int64_t least, int64_t most)
{
    const bool weighs = sm_plan_weighs(job->plan);
    const sm_probability p = answer(job->out);
    const double counted = p.probability * (1 - p.probability) / (double)job->context.trials;
    const double part = weighs ? 1 : job->out->widened ? SM_ENOUGH_PART_RARE : SM_ENOUGH_PART;
    const double times = p.standard_error * p.standard_error / (part * part * counted);
    const double wanted = (double)job->out->points_a_task * pow(times, 1 / (weighs ? FALLS_WEIGHS : FALLS));
    int64_t n = least;
    while (n < most && (double)n < wanted)
        n *= 2;
    return n;
}

/* The same tasks once more, and further ones. */
static sm_status go_on(sharp_job *job, sm_sharp_goal goal)
{
    job->goal = goal;
    return run_stage(job, job->out->points_a_task, job->out->widened);
}

static int64_t part_of(int64_t points_a_task, int64_t part)
{
    const int64_t n = points_a_task / part;
    return n > SM_LEAST_POINTS ? n : SM_LEAST_POINTS;
}

/* A few points of their own say how many are enough: points that took part in that would stop where they happen to
 * scatter little, and tell too small an error. */
static sm_status run_enough(sharp_job *job)
{
    const int64_t most = sm_sharp_points_a_task(job->context.trials);
    if (most == SM_LEAST_POINTS)
        return run_stages(job, most);
    job->sizing = true;
    sm_status s = run_stages(job, part_of(most, SM_SIZING_PART));
    job->sizing = false;
    if (s == SM_OK)
        s = run_stage(job, enough_points(job, part_of(most, SM_FIRST_PART), most), job->out->widened);
    return s;
}

static sm_status run_towards(sharp_job *job)
{
    const sm_status s = run_enough(job);
    if (s == SM_OK && job->towards.line > 0 && !is_resolved(job->out, job->towards.line))
        return go_on(job, job->towards);
    return s;
}

static sm_status run_fixed(sharp_job *job)
{
    return run_stages(job, sm_sharp_points_a_task(job->context.trials));
}

static sm_sharp sharp_of(const sm_plan *p, bool alone)
{
    sm_sharp s = {.n_roots = p->n_roots, .n_sides = p->root[0].n_sides, .alone = alone};
    for (int i = 0; i < p->n_roots && !alone; i++)
        s.rescues = s.rescues || p->root[i].rescues;
    s.n_events = first_event(&s, p->n_roots);
    return s;
}

static sm_status smooth_and_run(sharp_job *job, sm_status (*run)(sharp_job *job))
{
    sm_smoothing smoothing = {0};
    job->smoothing = &smoothing;
    sm_status s = sm_smoothing_create(job->plan, &smoothing);
    if (s == SM_OK)
        s = run(job);
    sm_placing_destroy(&job->sized);
    sm_smoothing_destroy(&smoothing);
    if (s == SM_INTERRUPTED && job->out->n_tasks < SM_LEAST_TASKS)
        job->out->n_tasks = 0;
    return s;
}

static int tasks_of(int64_t trials)
{
    return (int)(sm_sharp_points(trials) / sm_sharp_points_a_task(trials));
}

sm_status sm_sharp_run(const sm_plan *p, sm_run_context context, sm_sharp *out)
{
    *out = sharp_of(p, false);
    sharp_job job = {.plan = p, .context = context, .asked_tasks = tasks_of(context.trials), .out = out};
    return smooth_and_run(&job, run_fixed);
}

sm_status sm_sharp_run_enough(const sm_plan *p, sm_sharp_goal goal, sm_run_context context, sm_sharp *out)
{
    *out = sharp_of(p, false);
    sharp_job job = {
        .plan = p, .context = context, .towards = goal, .asked_tasks = tasks_of(context.trials), .out = out};
    return smooth_and_run(&job, run_towards);
}

static sm_status run_beside(sharp_job *job)
{
    return run_stage(job, job->size, false);
}

sm_status sm_sharp_run_beside(const sm_plan *p, sm_sharp_size size, const sm_sharp_axes *axes, sm_run_context context,
                              sm_sharp *out)
{
    *out = sharp_of(p, !size.every);
    sharp_job job = {.plan = p,
                     .context = context,
                     .turned = &axes->placing,
                     .asked_tasks = size.tasks,
                     .size = size.points,
                     .out = out};
    return smooth_and_run(&job, run_beside);
}

sm_status sm_sharp_axes_create(const sm_plan *p, sm_sharp_axes *out)
{
    const sm_sharp shape = sharp_of(p, true);
    *out = (sm_sharp_axes){.smoothing = {.n_roots = 0}};
    sm_status s = sm_smoothing_create(p, &out->smoothing);
    if (s == SM_OK)
        s = sm_placing_create(p, &out->smoothing, p->seed, SM_FOR_RUN, &out->placing);
    return s == SM_OK ? turn(p, &out->smoothing, &shape, false, &out->placing) : s;
}

void sm_sharp_axes_destroy(sm_sharp_axes *a)
{
    sm_placing_destroy(&a->placing);
    sm_smoothing_destroy(&a->smoothing);
}

void sm_sharp_destroy(sm_sharp *s)
{
    free(s->sums);
    *s = (sm_sharp){0};
}
