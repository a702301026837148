/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reduced question as a mixed-integer programme for GLPK. docs/model/placement.md states it. */
#define _POSIX_C_SOURCE 200809L
#include "decide/assign.h"

#include <glpk.h>
#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <string.h>

#include "base/arena.h"

/* Columns of the programme; 0: not there. All are 0 or 1 unless said otherwise. */
typedef struct model {
    const es_reduced *reduced;
    const es_question *question;
    const es_programme *programme;
    glp_prob *problem;
    int *used;      /* [n_repeaters] repeater is used */
    int *at_depth;  /* [hops][n_repeaters] it is used that many hops from the receiver; the same column as `used`
                       when it can be no other number */
    int *through;   /* [n_repeaters][n_devices] device goes through it; only for tight ones, NULL when there are none */
    int *wire;      /* [n_devices] it is wired */
    int *without;   /* [n_devices] it goes without a way */
    int expanders;  /* whole number */
    int lift_limit; /* ES_AIM_LIMITS: the first of n_limits + 3 whole numbers, each followed by its switch */
    int *index;     /* a row being made; from 1 */
    double *value;
    int n;
    double largest; /* more than any lift can be */
} model;

/* --- rows ------------------------------------------------------------------------------------------------------ */

static void put(model *m, int column, double value)
{
    if (!column) return;
    m->n++;
    m->index[m->n] = column;
    m->value[m->n] = value;
}

static void end_row(model *m, int type, double low, double high)
{
    const int row = glp_add_rows(m->problem, 1);
    glp_set_mat_row(m->problem, row, m->n, m->index, m->value);
    glp_set_row_bnds(m->problem, row, type, low, high);
    m->n = 0;
}

static void end_at_least(model *m, double low)
{
    end_row(m, GLP_LO, low, 0.0);
}

static void end_at_most(model *m, double high)
{
    end_row(m, GLP_UP, 0.0, high);
}

/* --- columns --------------------------------------------------------------------------------------------------- */

static int add_binary(model *m)
{
    const int column = glp_add_cols(m->problem, 1);
    glp_set_col_kind(m->problem, column, GLP_BV);
    return column;
}

static int add_whole(model *m, double high)
{
    const int column = glp_add_cols(m->problem, 1);
    glp_set_col_kind(m->problem, column, GLP_IV);
    if (high > 0.0)
        glp_set_col_bnds(m->problem, column, GLP_DB, 0.0, high);
    else
        glp_set_col_bnds(m->problem, column, GLP_FX, 0.0, 0.0);
    return column;
}

static size_t n_limits(const model *m)
{
    return m->programme->receiver[m->question->receiver].n_limits;
}

static int lift(const model *m, size_t which)
{
    return m->lift_limit ? m->lift_limit + 2 * (int)which : 0;
}

static bool takes_inputs(const model *m)
{
    for (size_t d = 0; d < m->programme->n_devices; d++)
        if (m->reduced->wire[d] && m->programme->device[d].inputs) return true;
    return false;
}

/* A repeater that the receiver hears itself has no reason to report to another. */
static unsigned greatest_depth(const model *m, size_t repeater)
{
    return m->reduced->depth[repeater] == 1 ? 1 : m->reduced->hops;
}

static void add_repeater_columns(model *m)
{
    const size_t n = m->programme->n_repeaters;
    for (size_t r = 0; r < n; r++) {
        if (m->reduced->use[r] == ES_USE_OUT) continue;
        m->used[r] = add_binary(m);
        if (m->reduced->use[r] == ES_USE_IN) glp_set_col_bnds(m->problem, m->used[r], GLP_FX, 1.0, 1.0);
        const unsigned least = m->reduced->depth[r], most = greatest_depth(m, r);
        for (unsigned h = least; h <= most; h++)
            m->at_depth[(h - 1) * n + r] = least == most ? m->used[r] : add_binary(m);
        for (size_t d = 0; m->reduced->tight[r] && d < m->programme->n_devices; d++)
            if (m->reduced->cover[d] && es_may_hear(m->question, r, d))
                m->through[r * m->programme->n_devices + d] = add_binary(m);
    }
}

static bool limited(const model *m, size_t device)
{
    const es_programme_receiver *receiver = &m->programme->receiver[m->question->receiver];
    for (size_t k = 0; k < receiver->n_limits; k++)
        if (m->reduced->limit_binds[k] && receiver->limit[k].kinds >> m->programme->device[device].kind & 1u)
            return true;
    return false;
}

static void add_device_columns(model *m)
{
    for (size_t d = 0; d < m->programme->n_devices; d++) {
        if (m->reduced->wire[d]) m->wire[d] = add_binary(m);
        const bool may_go_without = m->question->unserved_limit && m->question->forced[d] == ES_WAY_ANY;
        if (may_go_without && (m->reduced->cover[d] || limited(m, d))) m->without[d] = add_binary(m);
    }
    /* Free of cost or not, expanders stand for themselves: their number is a choice only in the inputs row. */
    if (takes_inputs(m)) m->expanders = add_whole(m, m->programme->max_expanders);
}

static double count_inputs(const es_programme *programme)
{
    double n = 0.0;
    for (size_t d = 0; d < programme->n_devices; d++) n += programme->device[d].inputs;
    return n;
}

static void add_lift_columns(model *m)
{
    if (m->question->aim != ES_AIM_LIMITS) return;
    m->largest = (double)(m->programme->n_devices + m->programme->n_repeaters) + count_inputs(m->programme) + 1.0;
    for (size_t i = 0; i < n_limits(m) + 3; i++) {
        const int column = add_whole(m, m->largest);
        const int on = add_binary(m);
        if (!i) m->lift_limit = column;
        put(m, column, 1.0);
        put(m, on, -m->largest);
        end_at_most(m, 0.0);
    }
}

/* --- the rules ------------------------------------------------------------------------------------------------- */

/* Each device that does not go directly: some repeater, a wire, or nothing. */
static void cover_devices(model *m)
{
    const es_programme *p = m->programme;
    for (size_t d = 0; d < p->n_devices; d++) {
        if (!m->reduced->cover[d]) continue;
        for (size_t r = 0; r < p->n_repeaters; r++) {
            if (m->reduced->use[r] == ES_USE_OUT || !es_may_hear(m->question, r, d)) continue;
            put(m, m->reduced->tight[r] ? m->through[r * p->n_devices + d] : m->used[r], 1.0);
        }
        put(m, m->wire[d], 1.0);
        put(m, m->without[d], 1.0);
        end_at_least(m, 1.0);
    }
}

static void limit_repeaters(model *m)
{
    const es_programme *p = m->programme;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (!m->reduced->tight[r] || m->reduced->use[r] == ES_USE_OUT) continue;
        const int *through = m->through + r * p->n_devices;
        for (size_t d = 0; d < p->n_devices; d++) {
            if (!through[d]) continue;
            put(m, through[d], 1.0);
            put(m, m->used[r], -1.0);
            end_at_most(m, 0.0);
        }
        for (size_t k = 0; k < p->repeater[r].n_limits; k++) {
            for (size_t d = 0; d < p->n_devices; d++)
                if (p->repeater[r].limit[k].kinds >> p->device[d].kind & 1u) put(m, through[d], 1.0);
            put(m, lift(m, n_limits(m)), -1.0);
            end_at_most(m, p->repeater[r].limit[k].count);
        }
    }
}

/* Of the devices that a limit of the receiver counts, enough must be wired or go without. */
static void limit_receiver(model *m)
{
    const es_programme *p = m->programme;
    const es_programme_receiver *receiver = &p->receiver[m->question->receiver];
    for (size_t d = 0; d < p->n_devices; d++) {
        if (!m->wire[d] || !m->without[d]) continue; /* one or the other: not to be counted twice below */
        put(m, m->wire[d], 1.0);
        put(m, m->without[d], 1.0);
        end_at_most(m, 1.0);
    }
    for (size_t k = 0; k < receiver->n_limits; k++) {
        if (!m->reduced->limit_binds[k]) continue;
        double over = -(double)receiver->limit[k].count;
        for (size_t d = 0; d < p->n_devices; d++) {
            if (!m->reduced->radio[d] || !(receiver->limit[k].kinds >> p->device[d].kind & 1u)) continue;
            over += 1.0;
            put(m, m->wire[d], 1.0);
            put(m, m->without[d], 1.0);
        }
        put(m, lift(m, k), 1.0);
        end_at_least(m, over);
    }
}

static void limit_inputs(model *m)
{
    if (!m->expanders) return;
    for (size_t d = 0; d < m->programme->n_devices; d++) put(m, m->wire[d], m->programme->device[d].inputs);
    put(m, m->expanders, -(double)m->programme->expander_inputs);
    put(m, lift(m, n_limits(m) + 2), -1.0);
    end_at_most(m, m->programme->onboard_inputs);
}

static void put_all_used(model *m, double value)
{
    for (size_t r = 0; r < m->programme->n_repeaters; r++) put(m, m->used[r], value);
}

static void limit_count(model *m)
{
    const unsigned own = m->question->repeater_limit, plan = m->programme->max_repeaters;
    put_all_used(m, 1.0);
    put(m, lift(m, n_limits(m) + 1), -1.0);
    end_at_most(m, own < plan ? own : plan);
    if (m->question->some_from == m->question->some_to) return;
    for (size_t r = m->question->some_from; r < m->question->some_to; r++) put(m, m->used[r], 1.0);
    end_at_least(m, 1.0);
}

/* Below the first depth, another repeater one hop nearer to the receiver hears it. */
static void join_to_nearer(model *m, size_t r, unsigned depth)
{
    const es_programme *p = m->programme;
    const size_t n = p->n_repeaters;
    if (depth == 1) return;
    put(m, m->at_depth[(depth - 1) * n + r], 1.0);
    for (size_t i = 0; i < n; i++)
        if (i != r && p->relay_db[i * n + r] >= m->question->floor_db) put(m, m->at_depth[(depth - 2) * n + i], -1.0);
    end_at_most(m, 0.0);
}

static void join_hops(model *m)
{
    const size_t n = m->programme->n_repeaters;
    for (size_t r = 0; r < n; r++) {
        if (!m->used[r]) continue;
        const unsigned least = m->reduced->depth[r], most = greatest_depth(m, r);
        for (unsigned h = least; h <= most; h++) join_to_nearer(m, r, h);
        if (least == most) continue;
        for (unsigned h = least; h <= most; h++) put(m, m->at_depth[(h - 1) * n + r], 1.0); /* at one of them */
        put(m, m->used[r], -1.0);
        end_row(m, GLP_FX, 0.0, 0.0);
    }
}

static double wire_cost(const model *m, size_t device)
{
    return (double)m->programme->wire[m->question->receiver * m->programme->n_devices + device];
}

static void put_costs(model *m)
{
    const es_programme *p = m->programme;
    for (size_t r = 0; r < p->n_repeaters; r++) put(m, m->used[r], (double)p->repeater[r].cost);
    for (size_t d = 0; d < p->n_devices; d++)
        if (m->wire[d]) put(m, m->wire[d], wire_cost(m, d));
    put(m, m->expanders, (double)p->expander_cost);
}

static void limit_totals(model *m)
{
    if (m->question->cost_limit != ES_COST_NONE) {
        put_costs(m);
        end_at_most(m, (double)m->question->cost_limit + 0.5); /* costs are whole: half a unit is room for rounding */
    }
    if (!m->question->unserved_limit) return;
    for (size_t d = 0; d < m->programme->n_devices; d++) put(m, m->without[d], 1.0);
    end_at_most(m, (double)m->question->unserved_limit);
}

static void set_aim(model *m)
{
    switch (m->question->aim) {
    case ES_AIM_COST: put_costs(m); break;
    case ES_AIM_REPEATERS: put_all_used(m, 1.0); break;
    case ES_AIM_UNSERVED:
        for (size_t d = 0; d < m->programme->n_devices; d++) put(m, m->without[d], 1.0);
        break;
    case ES_AIM_LIMITS: /* fewest limits first, then the least sum */
        for (size_t i = 0; i < n_limits(m) + 3; i++) {
            put(m, lift(m, i), 1.0);
            put(m, lift(m, i) + 1, m->largest * (double)(n_limits(m) + 3));
        }
        break;
    }
    for (int i = 1; i <= m->n; i++) glp_set_obj_coef(m->problem, m->index[i], m->value[i]);
    m->n = 0;
}

/* --- making and solving ---------------------------------------------------------------------------------------- */

static bool take_columns(model *m, struct es_arena *arena)
{
    const size_t n_repeaters = m->programme->n_repeaters, n_devices = m->programme->n_devices;
    size_t n_tight = 0;
    for (size_t r = 0; r < n_repeaters; r++) n_tight += m->reduced->tight[r];
    const size_t most =
        n_repeaters * (1 + (size_t)m->reduced->hops) + 2 * n_devices + n_tight * n_devices + 2 * (n_limits(m) + 3) + 2;
    if (most > INT_MAX / 2) return false;
    m->used = es_arena_take(arena, n_repeaters, sizeof(int));
    m->at_depth = es_arena_take(arena, n_repeaters * m->reduced->hops, sizeof(int));
    m->through = n_tight ? es_arena_take(arena, n_repeaters * n_devices, sizeof(int)) : NULL;
    m->wire = es_arena_take(arena, n_devices, sizeof(int));
    m->without = es_arena_take(arena, n_devices, sizeof(int));
    m->index = es_arena_take(arena, most + 1, sizeof(int));
    m->value = es_arena_take(arena, most + 1, sizeof(double));
    return m->used && m->at_depth && (m->through || !n_tight) && m->wire && m->without && m->index && m->value;
}

static void make(model *m)
{
    add_repeater_columns(m);
    add_device_columns(m);
    add_lift_columns(m);
    cover_devices(m);
    limit_repeaters(m);
    limit_receiver(m);
    limit_inputs(m);
    limit_count(m);
    join_hops(m);
    limit_totals(m);
    set_aim(m);
}

static bool is_on(const model *m, int column)
{
    return column && glp_mip_col_val(m->problem, column) > 0.5;
}

static long chosen_way(const model *m, size_t device, const bool *used)
{
    const es_programme *p = m->programme;
    if (is_on(m, m->wire[device])) return ES_WAY_WIRE;
    if (is_on(m, m->without[device])) return ES_WAY_NONE;
    if (m->reduced->direct[device]) return ES_WAY_DIRECT;
    for (size_t r = 0; r < p->n_repeaters && m->reduced->cover[device]; r++) {
        if (!used[r] || !es_may_hear(m->question, r, device)) continue;
        if (!m->reduced->tight[r] || is_on(m, m->through[r * p->n_devices + device])) return (long)r;
    }
    return ES_WAY_NONE;
}

static void read_answer(const model *m, es_answer *answer)
{
    const es_programme *p = m->programme;
    answer->any = true;
    for (size_t r = 0; r < p->n_repeaters; r++) answer->used[r] = is_on(m, m->used[r]);
    for (size_t d = 0; d < p->n_devices; d++) answer->way[d] = chosen_way(m, d, answer->used);
    for (size_t i = 0; m->lift_limit && i < n_limits(m) + 3; i++)
        answer->lifted[i] = (unsigned)lround(glp_mip_col_val(m->problem, lift(m, i)));
}

static int milliseconds_left(const struct timespec *deadline)
{
    if (!deadline) return INT_MAX;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    const double left =
        1e3 * (double)(deadline->tv_sec - now.tv_sec) + 1e-6 * (double)(deadline->tv_nsec - now.tv_nsec);
    return left >= INT_MAX ? INT_MAX : left <= 0.0 ? 0 : (int)left;
}

static void note_bound(glp_tree *tree, void *bound)
{
    const int node = glp_ios_best_node(tree);
    if (node) *(double *)bound = glp_ios_node_bound(tree, node);
}

static earshot_status run(model *m, es_answer *answer)
{
    const int left = milliseconds_left(m->question->deadline);
    answer->finding = ES_TIME_OUT;
    if (!left) return EARSHOT_OK;
    double bound = -INFINITY;
    glp_iocp control;
    glp_init_iocp(&control);
    control.msg_lev = GLP_MSG_OFF;
    control.presolve = GLP_ON;
    control.mir_cuts = GLP_ON;
    control.tm_lim = left;
    control.cb_func = note_bound;
    control.cb_info = &bound;
    const int failed = glp_intopt(m->problem, &control);
    if (failed == GLP_ENOPFS) {
        answer->finding = ES_NOT_FOUND;
        return EARSHOT_OK;
    }
    if (failed && failed != GLP_ETMLIM) return EARSHOT_INTERNAL;
    const int status = glp_mip_status(m->problem);
    if (status == GLP_OPT) answer->finding = ES_FOUND;
    if (status == GLP_NOFEAS) answer->finding = ES_NOT_FOUND;
    if (status == GLP_OPT || status == GLP_FEAS) read_answer(m, answer);
    const double whole = ceil(bound - 1e-6);
    if (m->question->aim == ES_AIM_COST && whole > (double)answer->cost_bound) answer->cost_bound = (es_cost)whole;
    return EARSHOT_OK;
}

typedef struct trap {
    jmp_buf back;
    bool memory;
} trap;

/* GLPK prints a line and then calls the error hook, or aborts the program if there is none. */
static int swallow(void *info, const char *line)
{
    trap *t = info;
    if (strstr(line, "memory")) t->memory = true;
    return 1;
}

static void spring(void *info)
{
    longjmp(((trap *)info)->back, 1);
}

static earshot_status solve(const es_reduced *reduced, es_answer *answer)
{
    const es_question *question = reduced->question;
    model m = {.reduced = reduced, .question = question, .programme = question->programme};
    if (!take_columns(&m, reduced->arena)) return EARSHOT_MEMORY;
    m.problem = glp_create_prob();
    glp_set_obj_dir(m.problem, GLP_MIN);
    make(&m);
    const earshot_status status = run(&m, answer);
    glp_delete_prob(m.problem);
    return status;
}

/* Where GLPK keeps its state per thread, this thread's is ours alone (programme.c starts one): its fatal errors come
 * back as a status, and the state is thrown away. Where it keeps one for the whole process, hands off. */
static bool state_is_ours(void)
{
    return glp_config("TLS") != NULL;
}

static earshot_status solve_trapped(const es_reduced *reduced, es_answer *answer)
{
    trap t = {.memory = false};
    if (setjmp(t.back)) {
        glp_free_env();
        return t.memory ? EARSHOT_MEMORY : EARSHOT_INTERNAL;
    }
    glp_error_hook(spring, &t);
    glp_term_hook(swallow, &t);
    if (reduced->question->memory_mb) glp_mem_limit(reduced->question->memory_mb);
    const earshot_status status = solve(reduced, answer);
    glp_error_hook(NULL, NULL);
    glp_term_hook(NULL, NULL);
    return status;
}

earshot_status es_assign_glpk(const es_reduced *reduced, es_answer *answer)
{
    if (state_is_ours()) return solve_trapped(reduced, answer);
    const int before = glp_term_out(GLP_OFF);
    const earshot_status status = solve(reduced, answer);
    glp_term_out(before);
    return status;
}

void es_assign_glpk_end(void)
{
    if (state_is_ours()) glp_free_env();
}

bool es_assign_glpk_available(void)
{
    return true;
}
