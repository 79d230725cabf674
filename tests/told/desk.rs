//! The desk where one job's drops come in: it takes them as the daemon does, and holds every batch to what its letters
//! must say.

use super::*;

/// One job at the desk where its drops come in.
pub(super) struct Desk {
    pub(super) key: JobKey,
    pub(super) shop_facts: FactSet,
    pub(super) shop: Shop,
    pub(super) state: FactSet,
    pub(super) told: Told,
    pub(super) sent: Vec<Letter>,
    pub(super) view: Option<JobView>,
    pub(super) now: Timestamp,
    pub(super) next_look: Option<i64>,
}

/// Between two batches of a desk; three and a bit of them are a quarter of an hour.
pub(super) const BETWEEN: i64 = 4 * 60_000;
pub(super) const QUARTER: i64 = 15 * 60_000;
pub(super) const DAY: i64 = 24 * 3_600_000;

impl Desk {
    pub(super) fn of(job: &str) -> Self {
        let key = JobKey::of(job, SITE).unwrap();
        let (shop_facts, state) = (FactSet::default(), FactSet::default());
        let shop = Shop::default();
        let (now, next_look) = ("2026-03-10T12:00:00Z".parse().unwrap(), None);
        Self { key, shop_facts, shop, state, told: Told::default(), sent: vec![], view: None, now, next_look }
    }

    /// One batch: the job's drops by the shop as it was, then the job again if the shop changed.
    pub(super) fn take(&mut self, batch: Vec<Arc<Fact>>) {
        self.wait_until(self.now.as_millisecond() + BETWEEN);
        let (of_job, of_shop): (Vec<_>, Vec<_>) = batch.into_iter().partition(|fact| fact.job.is_some());
        self.respond(of_job);
        if !of_shop.is_empty() {
            for fact in of_shop {
                self.shop_facts.insert(fact);
            }
            self.shop = Shop::fold(&self.shop_facts);
            self.respond(vec![]);
        }
    }

    /// Time passes; whenever the desk asked to be looked at, it is.
    pub(super) fn wait_until(&mut self, then: i64) {
        while let Some(look) = self.next_look.filter(|look| *look <= then) {
            self.now = Timestamp::from_millisecond(look).unwrap();
            self.respond(vec![]);
        }
        self.now = Timestamp::from_millisecond(then).unwrap();
    }

    pub(super) fn respond(&mut self, new: Vec<Arc<Fact>>) {
        let (state, before) = (std::mem::take(&mut self.state), self.told.clone());
        let response = respond(&self.key, state, &before, &self.shop, new, self.now);
        self.check(&before, &response);
        let Response { state, view, told, letters, next_look, .. } = response;
        (self.state, self.view, self.told, self.next_look) = (state, Some(view), told, next_look);
        self.sent.extend(letters);
    }

    /// A batch that changes something says all of it to everybody concerned, a quarter of an hour after the last letter
    /// at the earliest; any other says nothing.
    pub(super) fn check(&self, before: &Told, response: &Response) {
        let items = items(&response.view, self.now);
        let now = self.now.as_millisecond();
        let changes = compare(&items, before, now);
        assert!(response.next_look.is_none_or(|look| now < look));
        self.check_mailed_back(before, response);
        let letters: Vec<&Letter> =
            response.letters.iter().filter(|letter| !is_mailed_back(letter)).collect();
        let free_at = before.last.map(|last| last + QUARTER).filter(|free_at| now < *free_at);
        if changes.is_empty() || self.shop.letters_to(Role::Owner).is_empty() || free_at.is_some() {
            assert_eq!(
                letters,
                Vec::<&Letter>::new(),
                "nothing changed, or nobody can be reached, or it gathers"
            );
            assert_eq!((&response.told.items, response.told.letters), (&before.items, before.letters));
            let waits = free_at.filter(|_| !changes.is_empty());
            assert!(waits.is_none_or(|free_at| response.next_look.is_some_and(|look| look <= free_at)));
            return;
        }
        assert_eq!(evidence_told(&response.told), evidence_of(&items));
        let mut concerned = BTreeSet::new();
        for (role, said) in sentences(&changes) {
            for person in self.shop.letters_to(role) {
                let mail = person.mail.as_deref().unwrap();
                concerned.insert(mail);
                let letter = letters.iter().find(|letter| letter.to == mail);
                let letter = letter.unwrap_or_else(|| panic!("no letter to {mail}, who must know: {said:?}"));
                let is_said = said.iter().any(|said| letter.text().contains(said));
                assert!(is_said, "{said:?}\nis not said in\n{}", letter.text());
            }
        }
        let addressed: BTreeSet<&str> = letters.iter().map(|letter| letter.to.as_str()).collect();
        assert_eq!(addressed, concerned);
        assert_eq!(addressed.len(), letters.len(), "one letter a person and batch");
    }

    /// Whatever carries a name is mailed back, once, as soon as anybody can be reached.
    pub(super) fn check_mailed_back(&self, before: &Told, response: &Response) {
        let job = &response.view.job;
        let waits = |fact: &Fact| job.held.iter().any(|held| held.fact == fact.id && held.part.is_empty());
        let is_word = |fact: &Fact| matches!(fact.body, Body::SignOff(_) | Body::Decision(_));
        let words = job.statements().iter().filter(|fact| is_word(fact) && !waits(fact));
        let facts: BTreeSet<String> = words.map(|fact| fact.id.hex()).collect();
        let reachable = !self.shop.letters_to(Role::Owner).is_empty();
        let new = facts.iter().any(|fact| !before.recorded.contains(fact));
        assert_eq!(response.letters.iter().any(is_mailed_back), reachable && new);
        assert!(!reachable || facts.is_subset(&response.told.recorded));
    }

    pub(super) fn items(&self) -> Vec<AlertItem> {
        self.view.as_ref().map(|view| items(view, self.now)).unwrap_or_default()
    }

    /// At rest what was told is what is true, and looking again finds nothing to say, however long it is until then.
    pub(super) fn rest(&mut self) {
        self.wait_until(self.now.as_millisecond() + QUARTER);
        let (letters, waiting) = (self.told.letters, self.items().into_iter().filter(|item| item.waits));
        let waiting: Vec<AlertItem> = waiting.collect();
        self.wait_until(self.now.as_millisecond() + 3 * DAY);
        let reminded: Vec<&String> =
            self.told.items.iter().filter(|(_, told)| told.reminded).map(|(key, _)| key).collect();
        let is_reachable = !self.shop.letters_to(Role::Owner).is_empty();
        for item in waiting.iter().filter(|_| is_reachable) {
            assert!(reminded.contains(&&item.key), "a day later nobody was reminded of {}", item.first);
        }
        // What a date has made news in these days is told and reminded of as well.
        let dated =
            self.items().iter().filter(|item| waiting.iter().all(|then| then.key != item.key)).count();
        assert!(self.told.letters - letters <= (waiting.len() + 2 * dated) as u64, "one reminder each");
        assert_eq!(self.next_look, self.view.as_ref().and_then(|view| next_date(view, self.now)));
        if !self.shop.letters_to(Role::Owner).is_empty() {
            assert_eq!(evidence_told(&self.told), evidence_of(&self.items()));
        }
        let sent = self.sent.len();
        self.respond(vec![]);
        assert_eq!(self.sent.len(), sent, "a batch without a drop is no news");
        let keys: BTreeSet<&str> = self.sent.iter().map(|letter| letter.key.as_str()).collect();
        assert_eq!(keys.len(), self.sent.len(), "two letters under one key would be one letter");
    }
}

pub(super) fn is_mailed_back(letter: &Letter) -> bool {
    letter.key.starts_with("recorded/")
}

pub(super) fn items(view: &JobView, now: Timestamp) -> Vec<AlertItem> {
    standing_alerts(view, now)
}

pub(super) fn evidence_of(items: &[AlertItem]) -> BTreeMap<String, String> {
    let evidence: BTreeMap<String, String> =
        items.iter().map(|item| (item.key.clone(), item.evidence.hex())).collect();
    assert_eq!(evidence.len(), items.len(), "two things to know under one name: one would be told for ever");
    evidence
}

pub(super) fn evidence_told(told: &Told) -> BTreeMap<String, String> {
    told.items.iter().map(|(key, item)| (key.clone(), item.evidence.clone())).collect()
}

/// What a batch must say, in one of these ways, and whose business each of it is.
pub(super) fn sentences(changes: &Changes<'_>) -> Vec<(Role, Vec<String>)> {
    let items = changes.new.iter().copied().chain(changes.changed.iter().map(|(item, _)| *item));
    let now = items.chain(changes.still.iter().copied()).map(|item| (item.role, vec![item.first.clone()]));
    let told = |before: &str| vec![format!(": before this you were told: {before}")];
    let changed = changes.changed.iter().map(|(_, before)| (before.role, told(&before.first)));
    let over =
        |before: &str| ["cleared: ", "corrected: now "].map(|word| format!("{before}\n  {word}")).to_vec();
    let cleared = changes.cleared.iter().map(|(_, before)| (before.role, over(&before.first)));
    now.chain(changed).chain(cleared).collect()
}

/// Shuffled, a few twice, in batches.
pub(super) fn arriving(papers: &[Paper], seed: u64) -> Vec<Vec<Arc<Fact>>> {
    let mut dice = Dice(seed);
    let mut left: Vec<Arc<Fact>> = papers.iter().map(|paper| Arc::clone(&paper.fact)).collect();
    left.extend(papers.iter().filter(|_| dice.below(9) == 0).map(|paper| Arc::clone(&paper.fact)));
    let longest = dice.pick(&[1, 5, 5, 9, 9, 15, 15, 40, 60, 60]);
    let mut batches = vec![vec![]];
    while !left.is_empty() {
        let fact = left.swap_remove(dice.below(left.len()));
        batches.last_mut().unwrap().push(fact);
        if dice.below(longest) == 0 {
            batches.push(vec![]);
        }
    }
    batches
}

pub(super) fn at_rest(papers: &[Paper], job: &str, seed: u64) -> Desk {
    let mut desk = Desk::of(job);
    arriving(papers, seed).into_iter().for_each(|batch| desk.take(batch));
    desk.rest();
    desk
}
