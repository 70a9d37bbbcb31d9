/* A spell: the order of events in a month, section 4 of the model; `spell`, `standing` and `flows` in the
numpy form.

What is found in a step is Poisson and independent of what is not: so each amount is the mass of the roof
that meets it times what is met. A forcing find is severe, or an end leak; of F expected ones at least one
comes, and the roof is renewed, with the chance 1 - exp(-F).

The mass that stands is `good` times `mixture`. Good is the chance that a well-done roof still stands: exp of
minus all F so far and minus the hazard of an end seen in time. Of new roofs a share d (`defect_share`) is badly
done, and fails besides at the constant rate 1 / `defect_life`: the mixture is 1 - d + d exp(-time / defect_life).
*/

typedef struct { Draws leaks, puncture, severe, ends, forcing, damage, insured; } Found;
typedef struct { Draws damage, not_puncture, insured; } Uncovered;

/* What one step finds if it finds each open leak with probability `share`. */
static inline Found found(const Leaks *leaks, const Hidden *hidden, Draws share)
{
    const Draws seen = share * hidden->open, severe = share * hidden->severe, ends = share * hidden->end;
    return (Found){
        .leaks = seen,
        .puncture = share * hidden->puncture,
        .severe = severe + share * hidden->severe_end,
        .ends = ends,
        .forcing = severe + ends,
        .damage = damage_of(leaks, seen, share * hidden->sound),
        .insured = share * hidden->insured,
    };
}

/* What stripping uncovers if the steps before it have left `left` of the open leaks. */
static inline Uncovered uncovered(const Leaks *leaks, const Hidden *hidden, Draws left)
{
    const Draws number = left * hidden->open + hidden->silent;
    return (Uncovered){
        .damage = damage_of(leaks, number, left * hidden->sound + hidden->silent_sound),
        .not_puncture = number - (left * hidden->puncture + hidden->silent_puncture),
        .insured = left * hidden->insured + hidden->insured_silent,
    };
}

typedef struct {                                  /* the page of a month, on which amounts are written */
    Room *room;
    const Roof *roof;
    const Leaks *leaks;
    const Change *change;                         /* what the end of the spell costs */
    Draws *lines;
    int entries, month, insures, warrants;
    Draws covers;                                 /* share that the warranty pays this month */
} Page;

enum { BEFORE, AFTER };                           /* a sale of the month */

static inline void write(const Page *page, int line, int after, Draws amount)
{
    if (line < 0) return;
    const Draws factor = page->room->factor[page->room->of->rates[line] * page->entries + page->month];
    page->lines[line * page->entries + page->month + after] += amount * factor;
}

/* What a step costs: leaks found on a roof that stands, leaks uncovered on one that is stripped, its end. */
static void pay(const Page *page, int after, Draws stands, const Found *step, Draws stripped,
                const Uncovered *bare, Draws life_ended, Draws more_days)
{
    const Lines *line = page->room->of->lines;
    const Leaks *leaks = page->leaks;
    const Roof *roof = page->roof;
    write(page, line->renewal, after, page->change->quote * stripped);
    write(page, line->first_changes, after, stripped);
    write(page, line->renewals, after, stripped);
    write(page, line->severe_finds, after, stands * chance(step->severe));
    write(page, line->leak_damage, after, stands * step->damage + stripped * bare->damage);
    if (page->insures)
        write(page, line->insurance, after, -(stands * step->insured + stripped * bare->insured));
    if (page->warrants) {
        const Draws patched = stands * (step->leaks - step->puncture) + stripped * bare->not_puncture;
        /* Of the roofs that forcing finds renew, E / F end by a leak: (1 - exp(-F)) E / F, or 0 if F = 0. */
        Draws by_leak = stands * chance(step->forcing) * step->ends / step->forcing;
        by_leak = choose((Flags)(step->forcing > all(0.0)), by_leak, all(0.0));
        const Draws ends = life_ended + roof->warranty_leaking_ends * by_leak;
        write(page, line->warranty, after,
              -page->covers * (leaks->patch_cost * patched + roof->renew_cost * ends));
    }
    const Draws find_days =
        leaks->patch_days * (step->leaks - step->severe) + leaks->severe_days * chance(step->severe);
    const Draws days = stands * (find_days + more_days) + page->change->days * stripped;
    write(page, line->days, after, days * page->room->terms.day_cost);
    write(page, line->days_out_of_use, after, days);
}

/* Step 3, a sale at t: what a buyer takes off for hidden leaks, and residual value, over what stands. */
static void sell(const Hiding *of, const Hidden *hidden, const Roof *roof, const Residual *residual,
                 const Course *now, Draws unseen, Draws at_sale, Draws *found_at_sale, Draws *value)
{
    const Draws share = of->leaks.found_at_sale;
    if (any_above(share, 0.0)) {
        const Draws number = unseen * hidden->open + hidden->silent;
        const Draws sound = unseen * hidden->sound + hidden->silent_sound;
        const Draws grave = unseen * (hidden->severe + hidden->end);
        *found_at_sale = at_sale * (share * damage_of(&of->leaks, number, sound)
                                    + chance(share * grave) * roof->renew_cost);
    }
    if (any_above(roof->resale_share, 0.0))
        *value = at_sale * roof->resale_share * roof->renew_cost
                 * residual_share(residual, now->age / roof->life_scale, now->hazard);
}

static void run_spell(Room *room, const Spell *spell, Result *out)
{
    const Case *of = room->of;
    const int entries = of->sizes->months + 2, last = spell->last, newly_laid = spell->newly_laid;
    const uint32_t *due = of->calendar + spell->due;
    Roof roof;
    Change change;
    Visit visits[MOST_VISITS];
    READ(room, spell->roof, roof);
    READ(room, spell->change, change);
    read_visits(room, spell->visit, spell->visits, visits);
    read_left_by_visits(visits, due, last, room->left_by_visits);
    memset(out->lines, 0, (size_t)(of->sizes->lines + RESULTS_BY_MONTH) * entries * sizeof(Draws));
    out->changed = all(0.0);

    Hiding hiding = hiding_from(room, spell->leaks, last);
    Hidden hidden = {.open = {0}};
    Course now = course_from(&roof, all(0.0), all(0.0));
    if (!newly_laid) {
        now = course_from(&roof, all(spell->seal_age / 12.0), room->today.effective_age);
        hide_today(room, &hiding.leaks, last, &hidden);
    }
    const Draws surface = first_year_leaks(&roof);
    Residual residual = {.a = {0}};
    if (any_above(roof.resale_share, 0.0)) residual = residual_of(&roof);
    const Draws badly_done = newly_laid ? roof.defect_share : all(0.0);
    const Draws defect_fades = exponential(-1.0 / (12.0 * roof.defect_life));
    Draws defect_free = all(1.0), mixture = all(1.0), good = all(1.0);
    Page page = {room, &roof, &hiding.leaks, &change, out->lines, entries, 0, hiding.insures,
                 any_above(roof.warranty_share, 0.0), all(0.0)};

    for (int t = 0; t <= last; t++) {
        const Draws seen = t > 0 ? hiding.signs : all(0.0), unseen = 1.0 - seen;
        page.month = t;

        /* 1. Leaks of the month start, the seal age and A grow. For every hidden leak, signs show. */
        Month born = {.plain = {0}};
        if (t > 0) born = grow(&roof, &surface, &now);
        hide(room, &hiding, t, newly_laid, &born, &hidden);
        const Found by_signs = found(&hiding.leaks, &hidden, seen);

        /* 2. The roof is renewed (a) if a find forces it, or (b) if its life ends: seen in time, or because it
        was badly done. `life_ended` is (b), whatever (a) does: the warranty pays for it. */
        const Draws seen_in_time = (1.0 - roof.ends_by_leak) * born.hazard;
        const Draws start = good * mixture;
        if (t > 0) defect_free *= defect_fades;
        mixture = 1.0 - badly_done + badly_done * defect_free;
        const Draws well_done = good;
        good *= exponential(-(seen_in_time + by_signs.forcing));
        const Draws at_sale = good * mixture, renewed = start - at_sale;
        const Uncovered bare = uncovered(&hiding.leaks, &hidden, unseen);
        Draws life_ended = {0};
        if (page.warrants) {
            const Draws most_months = 12.0 * roof.warranty_years + TOLERANCE;
            page.covers = choose((Flags)(all(spell->calendar_age + t) <= most_months),
                                 roof.warranty_honoured * roof.warranty_share, all(0.0));
            life_ended = start - well_done * exponential(-seen_in_time) * mixture;
        }
        out->renewed[t] = renewed;
        pay(&page, BEFORE, start, &by_signs, renewed, &bare, life_ended, all(0.0));
        write(&page, of->lines->leaks, BEFORE, start * (born.plain + born.end));
        if (t > 0) write(&page, of->lines->energy, BEFORE, start * (roof.energy_cost / 12.0));

        /* 3. A sale at t happens here. */
        if (newly_laid || room->sold[t])
            sell(&hiding, &hidden, &roof, &residual, &now, unseen, at_sale, &out->found_at_sale[t],
                 &out->residual[t]);

        /* 4. The planned change strips the roof (no visit is due then), or else the visits take place. */
        if (t != spell->planned && !due[t]) continue;
        const Draws left = room->left_by_visits[t];
        const Found by_visits = found(&hiding.leaks, &hidden, unseen * (1.0 - left));
        const Draws no_find = exponential(-by_visits.forcing);
        const Uncovered stripped = uncovered(&hiding.leaks, &hidden, unseen * left);
        if (t == spell->planned) out->changed = at_sale;
        else out->renewed_after[t] = at_sale * (1.0 - no_find);
        out->renewed[t] += out->renewed_after[t];
        good *= no_find;
        Draws visit_days = {0}, visit_hours = {0};
        for (int v = 0; due[t] >> v; v++) {
            if (!(due[t] >> v & 1)) continue;
            visit_days += visits[v].days;
            visit_hours += visits[v].hours;
            write(&page, of->upkeep_lines[spell->upkeep_line + v], AFTER, at_sale * visits[v].cost);
        }
        pay(&page, AFTER, at_sale, &by_visits, out->renewed_after[t] + out->changed, &stripped, all(0.0),
            visit_days);
        write(&page, of->lines->hours, AFTER, at_sale * visit_hours * room->terms.hour_value);
        write(&page, of->lines->owners_hours, AFTER, at_sale * visit_hours);
        thin_births(room, &hiding, t);
        rejuvenate(&roof, visits, due[t], &now);
    }
}
