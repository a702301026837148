/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Diffraction at upright edges by the uniform theory: R. G. Kouyoumjian and P. H. Pathak, "A uniform geometrical theory
 * of diffraction for an edge in a perfectly conducting surface", Proc. IEEE 62(11), 1974, 1448-1461. An edge of
 * penetrable sheets carries, at each shadow boundary, just the jump of the field that passes on its two sides, and at
 * each reflection boundary the reflection that ends there, so that the total is continuous (docs/model/diffraction.md).
 */
#include <math.h>

#include "base/units.h"
#include "propagation/rays_inner.h"

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

/* Arms within an opening, counter-clockwise from a ray. */
static rays_arms within(const rays_scene *scene, const rays_edge *edge, const rays_side *from, double opening)
{
    rays_arms left = 0;
    for (uint32_t i = 0; i < edge->n_arms && i < RAYS_SET_ARMS; i++)
        if (es_rays_turn(scene->arm[edge->first_arm + i].angle_rad - from->angle_rad) < opening)
            left |= (rays_arms)1 << i;
    return left;
}

/* Arms on the left of the way from end to end, as seen from the edge towards the incoming end. */
static rays_arms on_the_left(const rays_scene *scene, const rays_edge *edge, const rays_side *in, const rays_side *out)
{
    return within(scene, edge, in, es_rays_turn(out->angle_rad - in->angle_rad)) & (in->standing | out->standing);
}

/* Both ends look into a corner, of less than 180 degrees, where walls meet, with none between them. */
static bool in_a_corner(const rays_scene *scene, const rays_edge *edge, const rays_side *in, const rays_side *out,
                        rays_arms left)
{
    const rays_arms standing = in->standing | out->standing;
    if (in->n_standing < 2 || (left != 0 && left != standing)) return false;
    double onwards = 2.0 * ES_PI, back = 2.0 * ES_PI; /* to the nearest wall either way */
    for (uint32_t i = 0; i < edge->n_arms; i++) {
        if (!es_rays_is_in(standing, i)) continue;
        const double angle = es_rays_turn(scene->arm[edge->first_arm + i].angle_rad - in->angle_rad);
        onwards = fmin(onwards, angle);
        back = fmin(back, 2.0 * ES_PI - angle);
    }
    return onwards + back < ES_PI - RAYS_COLLINEAR_SINE;
}

/* The jump of the field across the shadow boundary, seen from either end and the mean taken, so that the ends may be
 * swapped. The sides are those of the way from end to end: a half plane is the same obstacle wherever the ends are.
 * Only for two ends in one corner are they those of the straight line from each end: walls meeting there leave no gap.
 */
static double complex jump(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                           const rays_view *in_view, const rays_side *out, const rays_view *out_view, rays_arms left)
{
    const rays_arms standing = in->standing | out->standing;
    if (!in_a_corner(scene, edge, in, out, left))
        return 0.5 * (es_rays_left_less_right(scene, edge, standing, left, in_view) +
                      es_rays_left_less_right(scene, edge, standing, left, out_view));
    const rays_arms in_left = within(scene, edge, in, ES_PI);
    const rays_arms out_left = within(scene, edge, out, ES_PI);
    return 0.5 * (es_rays_left_less_right(scene, edge, standing, in_left, in_view) -
                  es_rays_left_less_right(scene, edge, standing, out_left, out_view));
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
        sum += 0.5 * rays_most(in_view[i].weight + out_view[i].weight) *
               boundary_bound(keller, mirror_cosine(&in_view[i], &out_view[i]), root_m);
    return sum;
}

/* F(a^2) / a with a = root c, and the same for an edge that stands further into the ray's way by shift (in units of
 * a): the phase tells of the other detour, and between the two boundaries the step of what passes straight on, which is
 * taken at a = 0, is made good. */
static double complex boundary_term(const rays_scene *scene, double a, double shift)
{
    const double b = keep_off_zero(a + shift);
    const double complex f = es_rays_transition(scene->fresnel, b * b) / b;
    if (shift == 0.0) return f;
    const double complex moved = f * cexp(-I * (b * b - a * a));
    if ((b > 0.0) == (a > 0.0)) return moved;
    return moved + copysign(2.0, a) * csqrt(I * ES_PI) * cexp(I * (a * a));
}

static double root_of(rays_scale scale)
{
    return sqrt(2.0 * scale.k * scale.l_m);
}

double complex es_rays_boundary(const rays_scene *scene, double cosine, rays_scale scale)
{
    const double root = root_of(scale);
    return keller_of(scale.k) * root * boundary_term(scene, keep_off_zero(cosine) * root, 0.0);
}

/* A sheet stands for its wall at the wall's middle, but the end of a thick wall throws its shadow from the corner that
 * reaches furthest into the ray's way: by half of the thickness across the middle line of the ray's two directions. It
 * does so as far as the wall reflects; what it lets through it lets through at its end, too. */
static double end_shift(const rays_scene *scene, const rays_edge *edge, const rays_side *in, const rays_view *in_view,
                        const rays_side *out, const rays_view *out_view, rays_arms left, rays_scale scale)
{
    if (in->thick_m == 0.0) return 0.0;
    const uint32_t arm = in->thick_arm, view = edge->n_arms + in->term;
    const rays_point along = scene->arm[edge->first_arm + arm].along;
    const rays_point middle = {in->half_cos * out->half_cos - in->half_sin * out->half_sin,
                               in->half_sin * out->half_cos + in->half_cos * out->half_sin};
    const double reach_m = 0.5 * in->thick_m * fabs(rays_cross(along, middle));
    const double reflects = fmin(1.0, 0.5 * cabs(in_view[view].weight + out_view[view].weight));
    const double shift = reflects * reach_m * sqrt(scale.k / (2.0 * scale.l_m));
    return es_rays_is_in(left, arm) ? shift : -shift;
}

static double complex sheet_diffract(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                                     const rays_view *in_view, const rays_side *out, const rays_view *out_view,
                                     rays_scale scale)
{
    const double root = root_of(scale);
    const rays_arms left = on_the_left(scene, edge, in, out);
    const double shift = end_shift(scene, edge, in, in_view, out, out_view, left, scale);
    double complex sum = 2.0 * jump(scene, edge, in, in_view, out, out_view, left) *
                         boundary_term(scene, keep_off_zero(shadow_cosine(in, out)) * root, shift);
    for (uint32_t i = edge->n_arms; i < edge->n_arms + edge->n_terms; i++)
        sum += (in_view[i].weight + out_view[i].weight) *
               boundary_term(scene, keep_off_zero(mirror_cosine(&in_view[i], &out_view[i])) * root, 0.0);
    return 0.5 * keller_of(scale.k) * root * sum;
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
    return es_rays_turn(angle_rad - scene->arm[edge->first_arm].angle_rad);
}

double complex es_rays_diffract(const rays_scene *scene, const rays_edge *edge, const rays_side *in,
                                const rays_view *in_view, const rays_side *out, const rays_view *out_view,
                                rays_scale scale)
{
    if (!edge->wedge) return sheet_diffract(scene, edge, in, in_view, out, out_view, scale);
    return wedge_diffract(scene, edge->wedge_n, from_face(scene, edge, in->angle_rad),
                          from_face(scene, edge, out->angle_rad), scale);
}

/* ---- two edges in a row ---- */

/* The shadow's part, its edge moved by shift, though not across the boundary: the single rays take the step there. */
static rays_bend shadow_bend(const rays_scene *scene, double complex weight, double a, double shift)
{
    const double moved = a + shift, b = (moved > 0.0) == (a > 0.0) ? moved : copysign(SMALLEST_COSINE, a);
    const double complex turned = shift == 0.0 ? weight : weight * cexp(-I * (b * b - a * a));
    return (rays_bend){turned / b, es_rays_detour(scene->fresnel, fabs(b)), a > 0.0};
}

/* phi + phi' goes up to 4 pi, beyond 2 pi the mirrored ray bends the other way than the sign of its cosine says. */
static bool mirror_bends_right(const rays_view *in, const rays_view *out, double cosine)
{
    return (cosine > 0.0) == (in->half_sin * out->half_cos + in->half_cos * out->half_sin > 0.0);
}

uint32_t es_rays_bends(const rays_scene *scene, const rays_edge *edge, const rays_side *in, const rays_view *in_view,
                       const rays_side *out, const rays_view *out_view, rays_scale scale, bool second, rays_bend *bend)
{
    if (edge->wedge || edge->n_terms >= RAYS_MOST_BENDS) return 0;
    const double root = root_of(scale);
    const double complex front = keller_of(scale.k) * root;
    const rays_arms left = on_the_left(scene, edge, in, out);
    const double shift = end_shift(scene, edge, in, in_view, out, out_view, left, scale);
    uint32_t n = 0;
    bend[n++] = shadow_bend(scene, front * jump(scene, edge, in, in_view, out, out_view, left),
                            keep_off_zero(shadow_cosine(in, out)) * root, shift);
    for (uint32_t i = edge->n_arms; i < edge->n_arms + edge->n_terms; i++) {
        const double cosine = keep_off_zero(mirror_cosine(&in_view[i], &out_view[i]));
        bend[n++] = (rays_bend){0.5 * front * (in_view[i].weight + out_view[i].weight) / (cosine * root),
                                es_rays_detour(scene->fresnel, fabs(cosine) * root),
                                /* At the first edge the source is mirrored, at the second the point. */
                                mirror_bends_right(&in_view[i], &out_view[i], cosine) != second};
    }
    return n;
}

static double coupling(rays_reach reach)
{
    const double m = reach.between_m;
    return sqrt(reach.before_m * reach.after_m / ((reach.before_m + m) * (m + reach.after_m)));
}

double complex es_rays_pair(const rays_scene *scene, const rays_bend *first, uint32_t n_first, const rays_bend *second,
                            uint32_t n_second, rays_reach reach)
{
    const double w = coupling(reach);
    double complex sum = 0.0;
    for (uint32_t i = 0; i < n_first; i++) {
        for (uint32_t j = 0; j < n_second; j++) {
            const double same = first[i].right == second[j].right ? w : -w;
            sum += first[i].weight * second[j].weight *
                   es_rays_pair_transition(scene->fresnel, first[i].detour, second[j].detour, same);
        }
    }
    return sum;
}

/* ---- along a block's face ---- */

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
