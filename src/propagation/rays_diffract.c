/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Diffraction at upright edges by the uniform theory: R. G. Kouyoumjian and P. H. Pathak, "A uniform geometrical theory
 * of diffraction for an edge in a perfectly conducting surface", Proc. IEEE 62(11), 1974, 1448-1461. An edge of
 * penetrable sheets carries, at each shadow boundary, just the jump of the field that passes on its two sides, and at
 * each reflection boundary the reflection that ends there, so that the total is continuous (docs/model/diffraction.md).
 */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_inner.h"
#include "propagation/slab.h"

/* ---- the transition function ---- */

/* F(x) over u = sqrt(x): values and derivatives, cubic between. */
enum { FRESNEL_STEPS = 352, STEPS_A_UNIT = 64, SERIES_TERMS = 60, FRACTION_TERMS = 120 };
static const double SERIES_END = 2.5;

/* w(z) = e^{-z^2} erfc(-jz) on the ray z = e^{j 3 pi / 4} u, where the Fresnel integral lives: the power series of erf
 * near 0, the continued fraction of w beyond (Abramowitz and Stegun, 7.1.5 and 7.1.14). */
static double complex faddeeva(double u)
{
    const double complex z = u * cexp(I * 0.75 * ES_PI);
    if (u < SERIES_END) {
        const double complex v = -I * z;
        double complex power = v, sum = v;
        for (int n = 1; n < SERIES_TERMS; n++) {
            power *= -v * v / n;
            sum += power / (2 * n + 1);
        }
        return cexp(-z * z) * (1.0 - 2.0 / sqrt(ES_PI) * sum);
    }
    double complex tail = z;
    for (int n = FRACTION_TERMS; n > 0; n--) tail = z - 0.5 * n / tail;
    return I / sqrt(ES_PI) / tail;
}

/* F(u^2) = j sqrt(pi) u e^{-j pi / 4} w(e^{j 3 pi / 4} u), and its derivative by u with w' = -2 z w + 2j / sqrt(pi). */
double complex *es_rays_fresnel_new(void)
{
    double complex *table = malloc((size_t)2 * (FRESNEL_STEPS + 1) * sizeof *table);
    if (!table) return NULL;
    const double complex ray = cexp(I * 0.75 * ES_PI), front = I * sqrt(ES_PI) * cexp(-I * 0.25 * ES_PI);
    for (size_t i = 0; i <= FRESNEL_STEPS; i++) {
        const double u = (double)i / STEPS_A_UNIT;
        const double complex w = faddeeva(u), slope = ray * (-2.0 * u * ray * w + 2.0 * I / sqrt(ES_PI));
        table[2 * i] = front * u * w;
        table[2 * i + 1] = front * (w + u * slope) / STEPS_A_UNIT; /* by step */
    }
    return table;
}

/* 1 + j/(2x) - 3/(4x^2) - 15j/(8x^3) + 105/(16x^4) + 945j/(32x^5): the asymptotic series of the integral. */
static double complex far_transition(double x)
{
    const double complex y = I / (2.0 * x);
    return 1.0 + y * (1.0 + y * (3.0 + y * (15.0 + y * (105.0 + y * 945.0))));
}

double complex es_rays_transition(const double complex *fresnel, double x)
{
    const double step = sqrt(x) * STEPS_A_UNIT;
    if (step >= FRESNEL_STEPS) return far_transition(x);
    const size_t i = (size_t)step;
    const double s = step - (double)i, r = 1.0 - s;
    const double complex *v = &fresnel[2 * i];
    return r * r * ((1.0 + 2.0 * s) * v[0] + s * v[1]) + s * s * ((1.0 + 2.0 * r) * v[2] - r * v[3]);
}

/* ---- what a ray sees of an edge ---- */

static double turn(double angle_rad)
{
    if (angle_rad < 0.0) return angle_rad + 2.0 * ES_PI;
    return angle_rad >= 2.0 * ES_PI ? angle_rad - 2.0 * ES_PI : angle_rad;
}

static double size(double complex z)
{
    return fabs(creal(z)) + fabs(cimag(z)); /* at least |z|, and quick */
}

/* A ray at an edge: the direction to its other end. */
typedef struct ray {
    double angle_rad;
    rays_point along;
    rays_meet meet;
} ray;

static double complex arm_t(const rays_scene *scene, const rays_arm *arm, const ray *r, double sine)
{
    const rays_table *table = es_rays_wall_at(scene, arm->wall, r->meet.z_m);
    return table ? es_rays_wall_t(table, r->meet.component, fabs(sine), r->meet.climb) : 1.0;
}

static double complex arm_r(const rays_scene *scene, const rays_arm *arm, const ray *r, double sine)
{
    const rays_table *table = es_rays_wall_at(scene, arm->wall, r->meet.z_m);
    return table ? es_rays_wall_r(table, r->meet.component, fabs(sine), r->meet.climb) : 0.0;
}

/* Collinear arms are met by no reflected ray of each other: sine of 0.02 rad. */
static const double COLLINEAR_SINE = 0.02;

/* Reflection in arm m of a ray that comes at an angle p from it, weakened by the other arms (at q from it) that lie on
 * that side: by those with q < p on its way in, at p - q, by those with q < pi - p on its way out, at pi - p - q. view:
 * what each arm lets through of the ray itself. */
static double complex reflection_in(const rays_scene *scene, const rays_edge *edge, uint32_t m, const ray *r,
                                    const rays_view *view)
{
    const rays_arm *arm = &scene->arm[edge->first_arm];
    const double sine = rays_cross(arm[m].along, r->along), cosine = rays_dot(arm[m].along, r->along);
    double complex weight = arm_r(scene, &arm[m], r, sine);
    for (uint32_t i = 0; i < edge->n_arms; i++) {
        const double arm_sine = rays_cross(arm[m].along, arm[i].along), q = copysign(1.0, sine) * arm_sine;
        const double arm_cosine = rays_dot(arm[m].along, arm[i].along);
        if (i == m || q < COLLINEAR_SINE) continue; /* on the other side, or in line */
        if (arm_cosine > cosine) weight *= view[i].weight;
        if (arm_cosine > -cosine) weight *= arm_t(scene, &arm[i], r, q * cosine + fabs(sine) * arm_cosine);
    }
    return weight;
}

/* An arm's own view carries its transmission, a term's view its reflection. The angle from an arm to the ray has this
 * sine and cosine; its half lies in 0 to pi. */
static bool add_view(rays_views *views, double sine, double cosine, double complex weight)
{
    void *items = views->item;
    if (!es_grow(&items, &views->room, views->n, sizeof *views->item)) return false;
    views->item = items;
    const double half_cos = copysign(sqrt(fmax(0.0, 0.5 * (1.0 + cosine))), sine);
    const double half_sin = sqrt(fmax(0.0, 0.5 * (1.0 - cosine)));
    views->item[views->n++] = (rays_view){half_cos, half_sin, weight};
    return true;
}

static bool view_from(rays_views *views, const rays_arm *arm, const ray *r, double complex weight)
{
    return add_view(views, rays_cross(arm->along, r->along), rays_dot(arm->along, r->along), weight);
}

/* A corner's only view holds sine and cosine of phi / 2n instead. */
static bool view_wedge(const rays_scene *scene, const rays_edge *edge, double angle_rad, rays_views *views)
{
    if (!add_view(views, 0.0, 1.0, 0.0)) return false;
    const double part = turn(angle_rad - scene->arm[edge->first_arm].angle_rad) / (2.0 * edge->wedge_n);
    views->item[views->n - 1] = (rays_view){cos(part), sin(part), 0.0};
    return true;
}

/* The largest difference that any division of the arms into two sides can make. */
static double jump_bound(const rays_view *view, uint32_t n)
{
    if (n > 4) return 1.0;
    double most = 0.0;
    for (uint32_t divided = 0; divided < 1u << (n - 1); divided++) { /* the last arm always on the right */
        double complex left = 1.0, right = view[n - 1].weight;
        for (uint32_t i = 0; i + 1 < n; i++) *(divided >> i & 1 ? &left : &right) *= view[i].weight;
        most = fmax(most, size(left - right));
    }
    return most;
}

bool es_rays_side_at(const rays_scene *scene, const rays_edge *edge, double angle_rad, rays_meet meet,
                     rays_views *views, rays_side *side)
{
    const ray r = {turn(angle_rad), {cos(angle_rad), sin(angle_rad)}, meet};
    *side = (rays_side){.angle_rad = r.angle_rad,
                        .half_cos = cos(r.angle_rad / 2.0),
                        .half_sin = sin(r.angle_rad / 2.0),
                        .first_view = views->n};
    if (edge->wedge) return view_wedge(scene, edge, r.angle_rad, views);
    const rays_arm *arm = &scene->arm[edge->first_arm];
    for (uint32_t i = 0; i < edge->n_arms; i++)
        if (!view_from(views, &arm[i], &r, arm_t(scene, &arm[i], &r, rays_cross(arm[i].along, r.along)))) return false;
    side->jump_bound = jump_bound(&views->item[side->first_view], edge->n_arms);
    for (uint32_t i = 0; i < edge->n_terms; i++) {
        const rays_term *term = &scene->term[edge->first_term + i];
        const rays_view *view = &views->item[side->first_view];
        double complex weight = reflection_in(scene, edge, term->arm, &r, view);
        if (term->opposite != term->arm) weight -= reflection_in(scene, edge, term->opposite, &r, view);
        if (!view_from(views, &arm[term->arm], &r, weight)) return false;
    }
    return true;
}

bool es_rays_edge_open(const rays_scene *scene, const rays_edge *edge, double angle_rad)
{
    if (!edge->wedge) return true;
    return turn(turn(angle_rad) - scene->arm[edge->first_arm].angle_rad) < edge->wedge_n * ES_PI;
}

/* ---- D ---- */

/* Nearer to a shadow boundary than this the field has its limit, half of the jump. */
static const double SMALLEST_COSINE = 1e-9;

static double keep_off_zero(double cosine)
{
    return fabs(cosine) < SMALLEST_COSINE ? copysign(SMALLEST_COSINE, cosine) : cosine;
}

/* Magnitude of C0 = -e^{-j pi / 4} / (2 sqrt(2 pi k)). */
static double keller_size(double k)
{
    return 0.5 / sqrt(2.0 * ES_PI * k);
}

static double complex keller_of(double k)
{
    return -keller_size(k) * (sqrt(0.5) - I * sqrt(0.5));
}

/* cos(D / 2) of the angle D from the incoming to the outgoing side, 0 to 2 pi. */
static double shadow_cosine(const rays_side *in, const rays_side *out)
{
    const double cosine = in->half_cos * out->half_cos + in->half_sin * out->half_sin;
    return out->angle_rad < in->angle_rad ? -cosine : cosine;
}

/* cos((phi + phi') / 2): with both angles counted counter-clockwise from the arm it is the same on either side. */
static double mirror_cosine(const rays_view *in, const rays_view *out)
{
    return in->half_cos * out->half_cos - in->half_sin * out->half_sin;
}

/* What passes the edge on the left of a ray to its other end, less what passes it on the right. */
static double complex left_less_right(const rays_scene *scene, const rays_edge *edge, const rays_side *side,
                                      const rays_view *view)
{
    double complex left = 1.0, right = 1.0;
    for (uint32_t i = 0; i < edge->n_arms; i++) {
        const bool is_left = turn(scene->arm[edge->first_arm + i].angle_rad - side->angle_rad) < ES_PI;
        *(is_left ? &left : &right) *= view[i].weight;
    }
    return left - right;
}

/* The jump of the field across the shadow boundary, seen from either end and the mean taken, so that the ends may be
 * swapped. A single arm stands free: the jump is that of Keller's half plane wherever the ends are, 1 - t, on one side
 * or the other. With more arms there is a wall on both sides, and away from the boundary only their difference is left.
 */
static double complex jump(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                           const rays_view *in_view, const rays_side *out, const rays_view *out_view)
{
    const bool pair = edge->n_arms == 2 && edge->n_terms == 1;
    if (edge->n_arms > 1 && !pair)
        return 0.5 * (left_less_right(scene, edge, in, in_view) - left_less_right(scene, edge, out, out_view));
    const uint32_t strong = scene->term[edge->first_term].arm;
    const double opening = turn(out->angle_rad - in->angle_rad);
    const bool left = turn(scene->arm[edge->first_arm + strong].angle_rad - in->angle_rad) < opening;
    double complex missing = 1.0 - 0.5 * (in_view[strong].weight + out_view[strong].weight);
    if (pair) missing += 0.5 * (in_view[1 - strong].weight + out_view[1 - strong].weight) - 1.0;
    return left ? -missing : missing;
}

/* |H| is at most |C0 / c|, and at most half of sqrt(L), what it is on the boundary. */
static double boundary_bound(double keller, double cosine, double root_m)
{
    return rays_least(keller / fabs(keep_off_zero(cosine)), 0.5 * root_m);
}

/* cot F / n of one of the wedge's four terms, likewise; x: sine and cosine of beta / 2n. */
static double wedge_bound(double keller, const rays_edge *edge, rays_point x, double root_m)
{
    const double c0 = edge->wedge_unit.x, s0 = edge->wedge_unit.y;
    double sum = 0.0;
    for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
        const double sine = s0 * x.y + sign * c0 * x.x, cosine = c0 * x.y - sign * s0 * x.x;
        sum += rays_least(keller / edge->wedge_n * fabs(cosine / keep_off_zero(sine)), 0.5 * root_m);
    }
    return sum;
}

double es_rays_diffract_bound(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                              const rays_view *in_view, const rays_side *out, const rays_view *out_view, double root_m)
{
    const double keller = keller_size(scene->k);
    if (edge->wedge) {
        const double cc = in_view->half_cos * out_view->half_cos, ss = in_view->half_sin * out_view->half_sin;
        const double cs = in_view->half_cos * out_view->half_sin, sc = in_view->half_sin * out_view->half_cos;
        return wedge_bound(keller, edge, (rays_point){cs - sc, cc + ss}, root_m) +
               wedge_bound(keller, edge, (rays_point){cs + sc, cc - ss}, root_m);
    }
    double sum = 0.5 * (in->jump_bound + out->jump_bound) * boundary_bound(keller, shadow_cosine(in, out), root_m);
    for (uint32_t i = edge->n_arms; i < edge->n_arms + edge->n_terms; i++)
        sum += 0.5 * size(in_view[i].weight + out_view[i].weight) *
               boundary_bound(keller, mirror_cosine(&in_view[i], &out_view[i]), root_m);
    return sum;
}

/* H without C0. */
static double complex boundary_term(const rays_scene *scene, double cosine, rays_scale scale)
{
    const double c = keep_off_zero(cosine);
    return es_rays_transition(scene->fresnel, 2.0 * scale.k * scale.l_m * c * c) / c;
}

double complex es_rays_boundary(const rays_scene *scene, double cosine, rays_scale scale)
{
    return keller_of(scale.k) * boundary_term(scene, cosine, scale);
}

static double complex sheet_diffract(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                                     const rays_view *in_view, const rays_side *out, const rays_view *out_view,
                                     rays_scale scale)
{
    const double complex shadow = 2.0 * jump(scene, edge, in, in_view, out, out_view);
    double complex sum = shadow * boundary_term(scene, shadow_cosine(in, out), scale);
    for (uint32_t i = edge->n_arms; i < edge->n_arms + edge->n_terms; i++)
        sum += (in_view[i].weight + out_view[i].weight) *
               boundary_term(scene, mirror_cosine(&in_view[i], &out_view[i]), scale);
    return 0.5 * keller_of(scale.k) * sum;
}

/* One cotangent of the wedge with its transition function. sign: +1 or -1 of pi +- beta. */
static double complex wedge_term(const rays_scene *scene, double n, double beta, double sign, rays_scale scale)
{
    const double angle = (ES_PI + sign * beta) / (2.0 * n), sine = keep_off_zero(sin(angle));
    const double nearest = round((beta + sign * ES_PI) / (2.0 * ES_PI * n));
    const double c = keep_off_zero(cos((2.0 * n * ES_PI * nearest - beta) / 2.0)), a = 2.0 * c * c;
    return es_rays_transition(scene->fresnel, scale.k * scale.l_m * a) * cos(angle) / sine;
}

/* Angles from the face that starts the exterior. The upright component is the soft case, the level one the hard. */
static double complex wedge_diffract(const rays_scene *scene, double n, double phi_in, double phi_out, rays_scale scale)
{
    const double minus = phi_out - phi_in, plus = phi_out + phi_in;
    const double complex shadow = wedge_term(scene, n, minus, 1.0, scale) + wedge_term(scene, n, minus, -1.0, scale);
    const double complex mirrored = wedge_term(scene, n, plus, 1.0, scale) + wedge_term(scene, n, plus, -1.0, scale);
    return keller_of(scale.k) / n * (scale.component == RAYS_UPRIGHT ? shadow - mirrored : shadow + mirrored);
}

static double from_face(const rays_scene *scene, const rays_edge *edge, double angle_rad)
{
    return turn(angle_rad - scene->arm[edge->first_arm].angle_rad);
}

double complex es_rays_diffract(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                                const rays_view *in_view, const rays_side *out, const rays_view *out_view,
                                rays_scale scale)
{
    if (!edge->wedge) return sheet_diffract(scene, edge, in, in_view, out, out_view, scale);
    return wedge_diffract(scene, edge->wedge_n, from_face(scene, edge, in->angle_rad),
                          from_face(scene, edge, out->angle_rad), scale);
}

/* Step of the one-sided difference, and how many of them the ray is kept off the face's prolongation, where the slope
 * grows without bound. */
static const double SLOPE_STEP_RAD = 1e-4, SLOPE_STEPS_OFF = 8.0;

/* Soft D vanishes on the face, so its slope there, away from the face, is D one step off divided by the step. It is the
 * same by the incoming and by the outgoing angle, D being reciprocal. */
double complex es_rays_wedge_slope(const rays_scene *scene, const rays_edge *edge, unsigned face, double other_rad,
                                   rays_scale scale)
{
    const double whole = edge->wedge_n * ES_PI, keep = SLOPE_STEPS_OFF * SLOPE_STEP_RAD;
    const double boundary = face ? whole - ES_PI : ES_PI;
    double other = from_face(scene, edge, other_rad);
    if (fabs(other - boundary) < keep) other = boundary + copysign(keep, other - boundary);
    const double on_face = face ? whole - SLOPE_STEP_RAD : SLOPE_STEP_RAD;
    return wedge_diffract(scene, edge->wedge_n, on_face, other, scale) / SLOPE_STEP_RAD;
}
