//! Garments with codes that keys cover, placed or not, with what the keys read from each code.
//!
//! It serves findings and pages; `chronology` decides which codes date a garment.

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use smallvec::SmallVec;

use crate::evidence::key::{self, CodeBearer, GarmentCode, StandingKey};
use crate::evidence::reading::{self, ByFeature};
use crate::record::id::MakerId;
use crate::record::observation::{Basis, Placement, Unplaced, Value};
use crate::resolve::{Catalog, Garment, RecordIndex};

/// A garment with one of its codes.
#[derive(Clone, Debug)]
pub struct CodedGarment<'a> {
    /// Its observations, in order of path.
    pub observations: SmallVec<[RecordIndex; 4]>,
    /// The code.
    pub code: GarmentCode<'a>,
}

/// The codes of all garments that are not withheld, the placed ones first; keys that settled disputes set aside read nothing.
pub fn all(catalog: &Catalog) -> Vec<CodedGarment<'_>> {
    let keys = key::standing(catalog);
    if keys.is_empty() {
        return Vec::new();
    }
    let placed = catalog.garments.par_iter().flat_map_iter(|garment| of_garment(catalog, &keys, garment));
    let unplaced = catalog.unplaced.par_iter().flat_map_iter(|index| of_unplaced(catalog, &keys, *index));
    placed.chain(unplaced).collect()
}

/// The codes of a garment filed under a variant.
pub fn of_garment<'a>(catalog: &'a Catalog, keys: &[StandingKey<'a>], garment: &Garment) -> Vec<CodedGarment<'a>> {
    let shown = reading::of_garment(catalog, garment);
    if !has_code(&shown) {
        return Vec::new();
    }
    coded(catalog, &speaking(keys, maker(garment)), &garment.observations, &shown)
}

/// The codes of a garment whose variant is not known.
pub fn of_unplaced<'a>(catalog: &'a Catalog, keys: &[StandingKey<'a>], index: RecordIndex) -> Vec<CodedGarment<'a>> {
    let observation = catalog.record(index).content.observation();
    let specimen = observation.filter(|one| one.basis.value == Basis::Specimen && !catalog.withheld.contains(&index));
    let Some(Placement::Unplaced(known)) = specimen.map(|observation| &observation.placement) else {
        return Vec::new();
    };
    let shown = reading::of_document(catalog, index);
    if !has_code(&shown) {
        return Vec::new();
    }
    coded(catalog, &speaking(keys, known.maker_of_all()), &[index], &shown)
}

/// Says whether any code was recorded; most garments have none, and are skipped.
fn has_code(shown: &ByFeature<'_>) -> bool {
    let mut readings = shown.values().flat_map(|shown| &shown.readings);
    readings.any(|(_, reading)| matches!(reading.value, Value::Code(_)))
}

/// The maker of all variants that a garment is filed under.
fn maker(garment: &Garment) -> Option<MakerId> {
    let mut makers = garment.variants.iter().map(|variant| variant.maker());
    let first = makers.next()?;
    makers.all(|maker| maker == first).then_some(first)
}

/// The keys that speak of a maker's garments; those of all makers alone where the maker is not known.
fn speaking<'a>(keys: &[StandingKey<'a>], maker: Option<MakerId>) -> Vec<StandingKey<'a>> {
    let speaks = |key: &&StandingKey<'a>| match &maker {
        Some(maker) => key.key.is_of(maker),
        None => key.key.makers.is_empty(),
    };
    keys.iter().filter(speaks).copied().collect()
}

fn coded<'a>(
    catalog: &'a Catalog,
    keys: &[StandingKey<'a>],
    observations: &[RecordIndex],
    shown: &ByFeature<'a>,
) -> Vec<CodedGarment<'a>> {
    let codes = key::of_garment(catalog, keys, CodeBearer { maker: None, shown }).into_iter();
    codes.map(|code| CodedGarment { observations: SmallVec::from_slice(observations), code }).collect()
}

impl CodedGarment<'_> {
    /// The entries whose own date shares no day with what the keys read from the code.
    pub fn own_dates_against(&self, catalog: &Catalog) -> Vec<RecordIndex> {
        key::own_dates_against(catalog, &self.observations, &self.code)
    }
}

impl Unplaced {
    /// The maker, by itself or through the model or line.
    pub fn maker_of_all(&self) -> Option<MakerId> {
        let maker = self.maker.as_ref().map(|maker| maker.value.clone());
        let of_model = || self.model.as_ref().map(|model| model.value.maker());
        maker.or_else(of_model).or_else(|| self.line.as_ref().map(|line| line.value.maker()))
    }
}
