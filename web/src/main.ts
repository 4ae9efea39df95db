import { mount } from 'svelte';
import App from './App.svelte';
import './sheet.css';

const target = document.getElementById('page');
if (!target) throw new Error('The page has no element to stand in.');
mount(App, { target });
