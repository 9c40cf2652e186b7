// What the pages that search, list and compare leave in `window`.

interface Window {
  bartackSearch: any;
  bartackSideBySide: { features: string[]; things: any[] };
  bartackFind: any;
  bartackFound: any;
}
